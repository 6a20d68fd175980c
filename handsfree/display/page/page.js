// Follows the job: takes snapshots from the stream, asks again when it is lost, and says when it is out of date.

import { fit, microphone, pass, show, showPoint, showReview } from "./show.js";

const SILENCE = 6000; // milliseconds without a sign of life after which what is shown counts as out of date
const AGAIN = 2000;

const at = (id) => document.getElementById(id);
let view = null;
let shownAt = 0;
let lastSign = performance.now();
let lastSeen = new Date();
let told = {};
let over = false;
let reviewing = false;
let spokenReview = false; // whether the review is being gone through by voice
let reviewed = -1;
let stream = null;

function time(date) {
  return date.toTimeString().slice(0, 8);
}

// Only what has changed is read out, and one thing at a time.
function tell() {
  const newest = view.asked.map((each) => each.reading).find(Boolean) ?? view.last;
  const now = {
    question: view.question?.prompt ?? "",
    danger: view.dangers.map((danger) => danger.say).join(" "),
    act: view.of > 1 ? `Step ${view.number}. ${view.act}` : view.act,
    reading: newest ? `${newest.name}, ${newest.figure}, ${newest.verdict}` : "",
    state: ["standing by", "noting", "paused", "finished"].includes(view.state) ? view.state : "",
  };
  const news = Object.keys(now).filter((key) => now[key] && now[key] !== told[key]).map((key) => now[key]);
  told = now;
  if (news.length) at("tell").textContent = news.map((text) => (/[.?!]$/.test(text) ? text : `${text}.`)).join(" ");
}

function put(view) {
  show(view);
  at("job").hidden = reviewing;
  tick();
  press();
  fit();
}

function alive() {
  lastSign = performance.now();
  lastSeen = new Date();
  if (!at("stale").hidden) {
    at("stale").hidden = true;
    document.body.removeAttribute("data-lost");
    if (view) put(view);
    else press();
  }
}

function outOfDate() {
  if (over) return;
  const first = at("stale").hidden;
  at("stale").hidden = false;
  document.body.setAttribute("data-lost", "");
  const words = `Connection lost. Out of date since ${time(lastSeen)}; all clocks stopped.`;
  if (at("stale").textContent !== words) at("stale").textContent = words;
  microphone("connection lost");
  press();
  if (first) fit();
}

function connect() {
  stream = new EventSource("events");
  stream.addEventListener("view", (event) => {
    const message = JSON.parse(event.data);
    view = message.view;
    shownAt = performance.now() - message.age * 1000;
    alive();
    put(view);
    tell();
    if (spokenReview !== Boolean(view.point)) {
      spokenReview = !spokenReview;
      if (!spokenReview) showPoint(null);
      turn(spokenReview);
    } else if (reviewing) review();
  });
  stream.addEventListener("beat", alive);
  stream.addEventListener("last", (event) => {
    over = true;
    stream.close();
    alive();
    finish(JSON.parse(event.data));
  });
  stream.addEventListener("error", () => {
    outOfDate();
    if (stream.readyState === EventSource.CLOSED) setTimeout(connect, AGAIN);
  });
}

function finish({ review, report }) {
  microphone("microphone closed");
  at("buttons").hidden = true;
  if (review) {
    showPoint(null);
    showReview(review);
    turn(true);
  }
  at("turn").textContent = "Last step";
  if (report) {
    const link = at("report").querySelector("a");
    link.href = URL.createObjectURL(new Blob([report], { type: "text/html" }));
    link.download = `report-${review?.job ?? "job"}.html`;
    at("report").hidden = false;
  }
}

async function review() {
  if (over) return;
  if (reviewed !== view?.events) {
    reviewed = view?.events;
    const answer = await fetch("review").catch(() => null);
    if (answer?.ok) showReview(await answer.json());
  }
  showPoint(view?.point ?? null);
}

function turn(to) {
  reviewing = to;
  at("review").hidden = !to;
  at("job").hidden = to || !view;
  at("turn").setAttribute("aria-pressed", String(to));
  if (to) review();
  fit();
}

function press() {
  const away = view?.state === "standing by";
  const free = !at("stale").hidden || over || !view || view.note !== null || ["paused", "finished"].includes(view.state);
  at("stand-by").textContent = away ? "back at the bench" : "stand by";
  at("stand-by").disabled = free;
  at("next").disabled = free || away;
}

async function send(words) {
  await fetch("press", { method: "POST", headers: { "X-Handsfree-Press": words } }).catch(() => null);
}

function tick() {
  if (view && !over && at("stale").hidden) pass(view, (performance.now() - shownAt) / 1000);
}

at("turn").addEventListener("click", () => turn(!reviewing));
at("stand-by").addEventListener("click", () => send(at("stand-by").textContent));
at("next").addEventListener("click", () => send("next"));
fetch("what").then((answer) => answer.json()).then((what) => { at("buttons").hidden = !what.buttons || over; fit(); }).catch(() => {});
addEventListener("resize", fit);
setInterval(() => {
  tick();
  if (performance.now() - lastSign > SILENCE) outOfDate();
}, 1000);
connect();
