// What the browser test asks of the page that it has open. Every function
// gives plain values; a fault is an object of the check's name and a detail.
(function () {
  "use strict";

  const all = (selector, root = document) => Array.from(root.querySelectorAll(selector));
  const words = (element) => element.textContent.trim().replace(/\s+/g, " ").slice(0, 60);
  const called = (element) => {
    const name = element.getAttribute("aria-label") || element.className.baseVal || element.className || words(element);
    return "<" + element.tagName.toLowerCase() + "> “" + String(name).slice(0, 60) + "”";
  };

  // seen tells whether an element takes room on the page. What is there for
  // screen readers only (cut to a pixel) or left of the page does not.
  function seen(element) {
    const box = element.getBoundingClientRect();
    return box.width > 1 && box.height > 1 && box.right > 0 && element.checkVisibility({ visibilityProperty: true });
  }

  // settled waits until the page has its fonts and no longer grows: parts of
  // it may be built by a script.
  async function settled() {
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    await document.fonts.ready;
    for (let still = 0, before = -1; still < 3;) {
      await frame();
      const now = document.getElementsByTagName("*").length;
      still = now === before ? still + 1 : 0;
      before = now;
    }
    return true;
  }

  function headingFaults() {
    const faults = [];
    let above = 0;
    for (const heading of all("h1, h2, h3, h4, h5, h6")) {
      const level = Number(heading.tagName[1]);
      if (level > above + 1) {
        faults.push({ check: "headings", detail: "h" + level + " “" + words(heading) + "” follows level " + above });
      }
      above = level;
    }
    const first = all("h1").length;
    if (first !== 1) {
      faults.push({ check: "headings", detail: first + " headings of the first level" });
    }
    return faults;
  }

  // imageFaults wants words for every drawing that is not decoration, and a
  // drawing in every figure: one that a script failed to draw is an empty box.
  function imageFaults() {
    const label = (e) => e.getAttribute("aria-label") || e.getAttribute("aria-labelledby") || e.getAttribute("alt");
    const faults = [];
    for (const image of all("img, svg, canvas, [role=img]")) {
      const quiet = image.closest("[aria-hidden=true]") || image.getAttribute("alt") === "";
      const parent = image.parentElement.closest("[role=img]");
      if (!quiet && !(parent && label(parent)) && !label(image)) {
        faults.push({ check: "images", detail: called(image) + " has no label" });
      }
    }
    for (const figure of all("figure")) {
      if (seen(figure) && !all("svg, canvas, img", figure).some(seen)) {
        faults.push({ check: "images", detail: "nothing is drawn in the figure " + words(figure) });
      }
    }
    return faults;
  }

  function survey() {
    const ids = all("[id]").map((e) => e.id);
    const links = all("a[href], area[href], link[href], [src]").map((e) => ({
      reference: e.getAttribute("href") || e.getAttribute("src"),
      url: e.href || e.src,
      words: words(e),
    }));
    const faults = headingFaults().concat(imageFaults());
    for (const id of new Set(ids.filter((id, i) => ids.indexOf(id) !== i))) {
      faults.push({ check: "links", detail: "two elements have the id " + id });
    }
    if (words(document.querySelector("main") || document.head) === "") {
      faults.push({ check: "content", detail: "nothing stands in <main>" });
    }
    const asked = document.getElementById("asked-part");
    if (asked && !seen(asked)) {
      faults.push({ check: "content", detail: "the client's facts were not put into the page" });
    }
    return { ids, links, faults, rows: all("tbody tr").length };
  }

  // sideways names what makes the page wider than the window.
  function sideways() {
    const room = document.documentElement.clientWidth;
    if (document.scrollingElement.scrollWidth <= room) {
      return [];
    }
    const free = (e) => !e.parentElement.closest(".scroll");
    const wide = all("main *, header *, footer *").filter((e) => free(e) && seen(e) && e.getBoundingClientRect().right > room + 0.5);
    return [{ check: "narrow", detail: "scrolls sideways at " + room + " px: " + (wide.length ? called(wide[wide.length - 1]) : "unknown element") }];
  }

  // lightness is the relative luminance of a CSS colour (WCAG 2.2); a
  // transparent one counts as the paper's white.
  function lightness(colour) {
    const [r, g, b, a = 1] = colour.match(/[\d.]+/g).map(Number);
    const linear = [r, g, b].map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return a === 0 ? 1 : 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  }

  function printed() {
    const fault = (detail) => ({ check: "print", detail });
    const faults = [];
    for (const e of all("nav, form, button, .skip").filter(seen)) {
      if (e.tagName !== "BUTTON" || getComputedStyle(e).textDecorationLine !== "none") {
        faults.push(fault("on paper there is " + called(e)));
      }
    }
    const room = document.documentElement.clientWidth;
    for (const e of all("main *").filter(seen)) {
      const style = getComputedStyle(e);
      if (style.overflowX !== "visible" && e.scrollWidth > e.clientWidth + 1 && e.namespaceURI.endsWith("xhtml")) {
        faults.push(fault("cut off: " + called(e)));
      } else if (e.getBoundingClientRect().right > room + 1 && !e.querySelector("*")) {
        faults.push(fault("beyond the edge of the paper: " + called(e) + " “" + words(e) + "”"));
      }
    }
    for (const e of all("details").filter((e) => !Array.from(e.children).slice(1).every(seen))) {
      faults.push(fault("stays folded: " + called(e)));
    }
    const ground = [document.documentElement, document.body].map((e) => lightness(getComputedStyle(e).backgroundColor));
    if (Math.min(...ground) < 0.8) {
      faults.push(fault("the ground is dark"));
    }
    const pale = all("p, th, td, li, h1, h2").filter(seen).find((e) => lightness(getComputedStyle(e).color) > 0.25);
    if (pale) {
      faults.push(fault("pale text: " + words(pale)));
    }
    return faults.slice(0, 5);
  }

  // accessible runs the rules of axe-core: the levels A and AA of WCAG 2.2 and
  // the library's own good practice.
  async function accessible(only) {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const options = { resultTypes: ["violations"], runOnly: only.length ? { type: "rule", values: only } : { type: "tag", values: tags } };
    const result = await axe.run(document, options);
    return result.violations.map((v) => ({
      check: "axe",
      detail: v.id + ": " + v.help + ", " + v.nodes.length + " times, first " + v.nodes[0].target.join(" ") + ": " +
        (v.nodes[0].any.concat(v.nodes[0].all, v.nodes[0].none)[0] || { message: "" }).message,
    }));
  }

  // text is what an element says to the eye.
  function text(element) {
    const copy = element.cloneNode(true);
    all(".unseen", copy).forEach((e) => e.remove());
    return copy.textContent.trim().replace(/\s+/g, " ");
  }

  // list tells the state of the index's table as a reader sees it.
  function list() {
    const table = document.getElementById("clientlist");
    const headings = Array.from(table.tHead.rows[0].cells);
    const shown = Array.from(table.tBodies[0].rows).filter(seen);
    return {
      headings: headings.map((h) => ({ text: words(h), sorted: h.getAttribute("aria-sort") || "" })),
      rows: shown.map((row) => Array.from(row.cells).map(text)),
      total: table.tBodies[0].rows.length,
      count: document.getElementById("count").textContent,
    };
  }

  // focused names what has the keyboard's focus and whether that shows.
  function focused() {
    const e = document.activeElement;
    const style = getComputedStyle(e);
    return {
      tag: e.tagName.toLowerCase(), id: e.id, text: words(e), column: e.closest("th") ? e.closest("th").cellIndex : -1,
      visible: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    };
  }

  window.look = { settled, survey, sideways, printed, accessible, list, focused };
}());
