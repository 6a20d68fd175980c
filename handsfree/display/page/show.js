// Puts a snapshot on the page. Everything goes in as text: markup in a note or a name stays letters.

const at = (id) => document.getElementById(id);

function put(id, text) {
  const element = at(id);
  if (element.textContent !== text) element.textContent = text;
}

function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
}

function list(id, texts) {
  const section = at(id);
  section.hidden = texts.length === 0;
  section.querySelector("ul").replaceChildren(...texts.map((text) => element("li", "", text)));
}

function clock(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  const minutes = Math.floor(whole / 60);
  return `${minutes}:${String(whole % 60).padStart(2, "0")}`;
}

function scale(drawn, words, shown = null) {
  const { place } = drawn;
  const made = element("div", "scale");
  made.setAttribute("role", "img");
  made.setAttribute("aria-label", words);
  const mark = (className, position, text = "") => {
    const one = element("span", className, text);
    one.style.left = `${position * 100}%`;
    made.append(one);
    return one;
  };
  made.append(element("span", "base"));
  const low = place.low ?? 0;
  mark("between", low).style.width = `${((place.high ?? 1) - low) * 100}%`;
  if (place.low !== null) { mark("limit", place.low); mark("mark", place.low, drawn.low); }
  if (place.high !== null) { mark("limit", place.high); mark("mark", place.high, drawn.high); }
  if (place.target !== null) mark("target", place.target);
  if (place.at !== null) {
    if (!place.off) mark("doubt", place.at).style.width = `${place.uncertainty * 200}%`;
    const at = mark(`at ${place.off}`, place.at);
    if (shown?.out) at.classList.add("out");
    if (place.off && shown?.by) made.append(element("span", `by ${place.off}`, shown.by));
  }
  return made;
}

function scaleOf(shown) {
  return shown.scale ? [scale(shown.scale, `${shown.figure}, limits ${shown.limits}: ${shown.verdict} ${shown.by}`, shown)] : [];
}

function label(what, name) {
  const made = element("p", "label", `${what}: `);
  made.append(element("b", "", name));
  return made;
}

function reading(shown, what) {
  const cell = element("div", "reading");
  const verdict = element("p");
  if (shown.verdict) verdict.append(element("span", shown.out ? "verdict out" : "verdict", shown.verdict));
  // What came of it stays in sight with the reason, however little room there is; the other unit gives way.
  const provisional = shown.provisional ? "provisional until it is read back" : "";
  const why = [shown.by, shown.outcome, provisional].filter(Boolean).join("; ");
  cell.append(label(what, `${shown.name}, ${shown.occasion}`), element("p", "figure", shown.figure), verdict);
  if (why) cell.append(element("p", "why", why));
  if (shown.other) cell.append(element("p", "more", shown.other));
  return cell;
}

function figureAsked(each) {
  const left = element("div");
  left.append(label("Asked for", each.what), element("p", "wanted", each.wanted));
  if (each.reading) {
    left.append(...scaleOf(each.reading), element("p", "more", each.more));
    return [left, reading(each.reading, "Last reading")];
  }
  if (each.scale) left.append(scale(each.scale, `limits ${each.wanted}`));
  left.append(element("p", "more", each.more));
  const none = element("div", "reading");
  none.append(element("p", "label", "Last reading"), element("p", "figure", "none yet"));
  return [left, none];
}

function otherAsked(each) {
  const left = element("div");
  const [head, wanted] = each.kind === "check" ? [label("Check", each.wanted), each.what] : [label("Asked for", each.what), each.wanted];
  left.append(head, element("p", "wanted long", wanted), element("p", "more", each.more));
  if (each.timer) {
    const running = element("p", "figure");
    running.dataset.timer = each.timer;
    left.append(running);
  }
  return left;
}

function asked(view) {
  const rows = view.asked.filter((each) => each.kind === "figure").map(figureAsked);
  const others = view.asked.filter((each) => each.kind !== "figure").map(otherAsked);
  rows.push(...others.map((one) => [one]));
  before(rows.length === others.length ? view.last : null);
  at("asked").replaceChildren(...rows.map((cells) => {
    const row = element("div", "row");
    row.append(...cells);
    return row;
  }));
}

// A reading of another step is one line: nothing is decided by it here.
function before(last) {
  at("before").hidden = !last;
  if (!last) return;
  const where = last.step ? `Before, at step ${last.step}` : "Before";
  put("before", [`${where}: ${last.name}, ${last.occasion}, ${last.figure}`, last.verdict, last.by, last.outcome].filter(Boolean).join(", "));
}

function cautions(view) {
  at("left-hand").hidden = !view.left_hand;
  at("left-hand").querySelector("span").textContent = view.left_hand;
  const others = view.cautions.filter((caution) => caution !== view.left_hand);
  at("cautions").hidden = others.length === 0;
  at("cautions").replaceChildren(...others.map((caution) => element("li", "", caution)));
}

function dangers(view) {
  const items = view.dangers.map((danger) => {
    const item = element("li");
    const words = element("span");
    words.append(element("strong", "", danger.say), " ", element("small", "", danger.lasting));
    item.append(element("b", "", "Danger"), words);
    return item;
  });
  at("dangers").hidden = items.length === 0;
  at("dangers").replaceChildren(...items);
}

function notice(view) {
  const [word, rest] = {
    "standing by": ["Standing by", "Say “back at the bench”."],
    noting: ["Noting", "Say “end of note”."],
    paused: ["Job paused", "Nothing is lost."],
    finished: ["Job finished", ""],
  }[view.state] ?? (view.looking ? ["Only looking", `The job stands at step ${view.at}.`] : ["", ""]);
  at("notice").querySelector("strong").textContent = word;
  at("notice").querySelector("span").textContent = rest;
  at("notice").hidden = !word;
  at("rehearsal").hidden = !view.rehearsal;
}

function heard(view) {
  at("heard").hidden = !view.heard && !view.said;
  at("words").hidden = !view.heard;
  put("words", view.heard?.words ?? "");
  put("made", view.heard ? `taken as: ${view.heard.made}` : "nothing yet");
  put("said", view.said);
}

const TIGHTEST = 7;
const ROOMIEST = 2;

// As large as there is room for: first the nearer details give way, then the space around, last the act's letters.
export function fit() {
  const main = document.querySelector("main");
  const near = at("near");
  delete document.body.dataset.room;
  delete document.body.dataset.tight;
  near.style.maxHeight = near.style.minHeight = "";
  for (let tight = 1; tight <= TIGHTEST && main.scrollHeight > main.clientHeight + 1; tight += 1) {
    document.body.dataset.tight = tight;
  }
  // The nearer details are as large as all of them fit; where they do not fit at all, they take fewer lines.
  const over = () => near.scrollHeight > near.clientHeight + 1;
  if (over()) document.body.dataset.room = 0;
  else for (let room = 1; room <= ROOMIEST; room += 1) {
    document.body.dataset.room = room;
    if (!over() && main.scrollHeight <= main.clientHeight + 1) continue;
    if (room > 1) document.body.dataset.room = room - 1;
    else delete document.body.dataset.room;
    break;
  }
  // No line is cut: the region ends with a whole one.
  if (over()) {
    const style = getComputedStyle(near);
    const frame = near.offsetHeight - near.clientHeight + parseFloat(style.paddingTop);
    const line = parseFloat(style.lineHeight);
    near.style.minHeight = "0";
    near.style.maxHeight = `${frame + Math.max(1, Math.floor((near.offsetHeight - frame) / line + 0.01)) * line}px`;
  }
  // What scrolls can be reached with the keyboard.
  if (over()) near.tabIndex = 0;
  else near.removeAttribute("tabindex");
}

// Whether the ear is open, in words and as a form: a disc, two bars, an empty square, a cross, a triangle.
export function microphone(words) {
  put("microphone", words);
  const form = { speaking: "speaks", "standing by": "away", "microphone closed": "closed", "microphone lost": "lost", "connection lost": "lost" };
  at("microphone").dataset.form = form[words] ?? "open";
}

export function show(view) {
  document.title = `${view.heading} · ${view.title}`;
  document.body.dataset.state = view.state;
  document.body.toggleAttribute("data-asking", Boolean(view.question));
  document.body.toggleAttribute("data-looking", view.looking);
  document.body.toggleAttribute("data-rehearsal", view.rehearsal);
  put("act", view.act);
  microphone(view.microphone);
  put("step", view.heading);
  put("stage", view.stage);
  put("item", [view.item, view.serial].filter(Boolean).join(", "));
  put("title", `${view.title}, revision ${view.revision}`);
  notice(view);
  dangers(view);
  asked(view);
  at("question").hidden = !view.question;
  put("prompt", view.question?.prompt ?? "");
  at("note").hidden = view.note === null;
  put("noted", view.note || "…");
  cautions(view);
  list("fasteners", view.fasteners);
  list("lubricants", view.lubricants);
  list("phrases", view.phrases);
  heard(view);
}

// What runs on by itself between two snapshots: timers, and the time of a question.
export function pass(view, seconds) {
  list("timers", view.timers.map((timer) => {
    const left = timer.left - seconds;
    return left > 0 ? `${timer.name}: ${clock(left)} of ${clock(timer.of)} left` : `${timer.name}: time is up`;
  }));
  // The other items on the bench, each with what runs on for it.
  list("others", view.others.map((other) => {
    const timers = other.timers.map((timer) => (timer.left > seconds ? `${timer.name} ${clock(timer.left - seconds)}` : `${timer.name}: time is up`));
    return [`${other.item}, ${other.where}`, ...timers].join("; ");
  }));
  for (const shown of document.querySelectorAll("[data-timer]")) {
    const timer = view.timers.find((each) => each.name === shown.dataset.timer);
    const left = timer ? timer.left - seconds : 0;
    shown.textContent = left > 0 ? `${clock(left)} left` : "time is up";
  }
  const expires = view.question?.expires_in;
  put("expires", expires == null ? "" : `dropped in ${clock(expires - seconds)} if nobody answers`);
}

// The point that is gone through by voice: its words at the top, and where it stands in the list.
export function showPoint(point) {
  at("point").hidden = !point;
  put("point-number", point ? (point.number ? `Point ${point.number} of ${point.of}, being gone through` : `${point.of} to look at`) : "");
  put("point-words", point ? point.text || "Say “next”." : "");
  for (const item of at("points").querySelectorAll("li")) {
    const now = Boolean(point?.number) && item.dataset.key === point.key;
    if (now === item.hasAttribute("aria-current")) continue;
    if (!now) {
      item.removeAttribute("aria-current");
      item.querySelector(".now").remove();
      continue;
    }
    item.setAttribute("aria-current", "true");
    item.prepend(element("strong", "now", "Now: "));
    item.scrollIntoView({ block: "nearest" });
  }
}

export function showReview(review) {
  put("review-title", `Review of job ${review.job}`);
  at("result").hidden = !review.result;
  at("result").classList.toggle("out", Boolean(review.result?.grave));
  put("result-word", review.result?.word ?? "");
  put("result-words", review.result?.sentence ?? "");
  at("summary").replaceChildren(...review.summary.map((text) => element("p", "", text)));
  at("points").replaceChildren(...review.points.flatMap(([title, texts]) => {
    const points = element("ul");
    points.append(...texts.map(({ text, key }) => {
      const item = element("li", "", text);
      item.dataset.key = key;
      return item;
    }));
    return [element("h2", "", title), points];
  }));
  put("text", review.text);
}
