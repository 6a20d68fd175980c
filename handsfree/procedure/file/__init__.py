"""From the text of a procedure file to a procedure, or everything that is wrong with it.

- ``loader``: a procedure from its file, or everything that is wrong with the file.
- ``problems``: what is wrong with a procedure file, said in the words of the format, with its place in the file.
- ``schema``: the JSON Schema of procedure files, made from the models: for completion and marks of mistakes in
  editors.
- ``yaml_text``: YAML text as plain data that remembers where everything stood.
"""

__all__ = ["loader", "problems", "schema", "yaml_text"]
