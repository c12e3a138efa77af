"use strict";

// Fills a session's page with what rests on facts about the client. The pages
// themselves hold only what the recording shows; the facts of all sessions of
// a year lie in one file beside them, which calls facts() with them by session.

// make builds an element with attributes and children, text or elements.
function make(name, attributes, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

// show puts elements into a part of the page and uncovers it.
function show(part, ...children) {
  const section = document.getElementById(part + "-part");
  section.append(...children);
  section.hidden = false;
}

// Signs that tell the severities apart without colour.
const signs = { urgent: "■ ", soon: "▲ ", note: "○ " };

function findingList(findings) {
  const list = make("ul", { class: "findings" });
  for (const f of findings) {
    const severity = make("strong", { class: "severity " + f.severity },
      make("span", { "aria-hidden": "true" }, signs[f.severity] || ""), f.severity);
    list.append(make("li", {}, severity, " " + f.message));
  }
  return list;
}

// table builds a table from the texts of its head and rows; the columns whose
// index is in numbers are set flush right.
function table(label, caption, head, rows, numbers) {
  const align = (i) => (numbers.includes(i) ? { class: "n" } : {});
  const top = make("tr", {}, ...head.map((text, i) => make("th", { scope: "col", ...align(i) }, text)));
  const body = rows.map((row) => make("tr", {}, ...row.map((cell, i) =>
    i === 0 ? make("th", { scope: "row" }, cell) : make("td", align(i), cell))));
  return make("div", { class: "scroll", role: "region", "aria-label": label, tabindex: "0" },
    make("table", {}, caption, make("thead", {}, top), make("tbody", {}, ...body)));
}

// share draws a share of the whole; the figure stands beside it.
function share(width, ink) {
  const whole = make("div", { class: "share", "aria-hidden": "true" });
  if (width > 0) whole.append(make("div", { style: "width:" + width + "%;background:" + ink }));
  return whole;
}

function showAsked(f) {
  const others = (f.others || []).join("; ");
  if (f.verdict) show("asked", make("p", {}, f.verdict));
  if (f.asked) {
    const caption = make("caption", { class: "unseen" }, "What was asked and what was done");
    show("asked", table("What was asked and what was done", caption, [f.kind, "Asked", "Done"], f.asked, [1, 2]));
    if (others) show("asked", make("p", {}, "Also asked for that week: " + others + "."));
    return;
  }
  show("asked", make("p", {}, others ? "Asked for that week: " + others + "." : "Nothing was prescribed for that week."));
}

function showBands(f) {
  if (f.medication) {
    show("bands", make("p", { class: "caution" }, make("strong", {}, "Takes medication that limits heart rate:"),
      " bands of heart rate give no verdict."));
  }
  for (const set of f.bands || []) {
    const caption = make("caption", {}, set.caption);
    if (set.estimated) {
      caption.append(" ", make("strong", {}, "Estimated:"), " the maximal heart rate behind them is from age, not measured.");
    }
    const rows = set.rows.map((b) => [b.band, b.range, b.time, b.share, share(b.width, b.ink)]);
    show("bands", table(set.label, caption, ["Band", "Range", "Time", "Share, %", "Share of the whole"], rows, [2, 3]));
  }
  if (!f.bands) show("bands", make("p", {}, "None: no signal with bands was recorded."));
}

function facts(sessions) {
  const f = sessions[document.querySelector("[data-session]").dataset.session];
  if (!f) return;
  if (f.findings) show("findings", findingList(f.findings));
  showAsked(f);
  showBands(f);
  document.querySelectorAll(".near-max").forEach((cell, i) => { cell.textContent = f.nearMax[i]; });
  if (f.estimated) show("estimated");
}
