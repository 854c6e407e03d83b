// Looks over the screen as it stands and lists what is wrong with it. `wanted` says what to look for.
const wanted = JSON.parse(WANTED);
const found = [];
const all = [...document.querySelectorAll("body *")];
const shown = (element) =>
  element.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }) &&
  element.getBoundingClientRect().width > 0;
const hiddenByClip = (element) => element.closest(".seen-by-readers-only") !== null;
const named = (element) => {
  const name = element.getAttribute("aria-label") || element.textContent.trim().replace(/\s+/g, " ");
  return `<${element.tagName.toLowerCase()} class="${element.getAttribute("class") || ""}"> ${name.slice(0, 50)}`;
};

// Nothing runs out sideways: not the document, not anything in it, except tables in a frame made to scroll.
const root = document.documentElement;
if (root.scrollWidth > root.clientWidth) {
  found.push(`the page is ${root.scrollWidth} px wide in a window of ${root.clientWidth} px`);
}
// A drawing of a yard is panned and zoomed, and cut off at its own frame; the frame itself is looked at.
const meantToScroll = (element) => element.closest(".table-frame") !== null || element.parentElement?.closest("svg.plan") != null;
for (const element of all) {
  if (!shown(element) || hiddenByClip(element) || meantToScroll(element)) continue;
  const box = element.getBoundingClientRect();
  if (box.right > root.clientWidth + 0.5 || box.left < -0.5) {
    found.push(`runs out sideways, from ${box.left} to ${box.right} px: ${named(element)}`);
  }
  const style = getComputedStyle(element);
  const scrolls = style.overflowX !== "visible" && style.display !== "inline";
  // What is typed into an input scrolls in it by nature.
  if (scrolls && !element.matches("input, textarea, select") && element.scrollWidth > element.clientWidth + 1) {
    found.push(`cut off, ${element.scrollWidth} px in ${element.clientWidth} px: ${named(element)}`);
  }
  if (style.overflowY === "hidden" && !element.matches("svg, svg *, html, body") && element.scrollHeight > element.clientHeight + 1) {
    found.push(`cut off, ${element.scrollHeight} px high in ${element.clientHeight} px: ${named(element)}`);
  }
}

// One h1, the first of the headings; none skips a level.
const levels = all
  .filter((element) => /^H[1-6]$/.test(element.tagName) && shown(element))
  .map((element) => [Number(element.tagName[1]), element]);
if (levels.filter(([level]) => level === 1).length !== 1) found.push(`headings: not exactly one h1`);
if (levels.length && levels[0][0] !== 1) found.push(`headings: the first is ${named(levels[0][1])}`);
levels.forEach(([level, element], index) => {
  if (index > 0 && level > levels[index - 1][0] + 1) found.push(`headings: a level is skipped before ${named(element)}`);
});

// Targets for a thumb. Only links inside a sentence may be smaller.
if (wanted.targets) {
  const interactive = "a[href], button, input, select, textarea, summary, [role=button], [role=slider], [tabindex='0']";
  const inSentence = (element) =>
    element.matches("a") &&
    getComputedStyle(element).display === "inline" &&
    [...element.parentElement.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent.trim());
  const targets = new Map();
  for (const element of document.querySelectorAll(interactive)) {
    if (!shown(element) || hiddenByClip(element) || inSentence(element)) continue;
    const wrapped = element.matches("input") && element.closest("label");
    const touched = wrapped && element.matches("[type=checkbox], [type=radio], [type=file]") ? wrapped : element;
    if (touched.getBoundingClientRect().width > 0) targets.set(touched, touched.getBoundingClientRect());
  }
  for (const [element, box] of targets) {
    if (box.width < 47.9 || box.height < 47.9) {
      found.push(`too small, ${box.width.toFixed(1)} x ${box.height.toFixed(1)} px: ${named(element)}`);
    }
  }
  // Bars stick: what has scrolled below them is not beside their buttons.
  const layer = (element) => element.closest(".bar, main, section[aria-label=Update]");
  const list = [...targets];
  list.forEach(([one, a], index) => {
    for (const [other, b] of list.slice(index + 1)) {
      if (one.contains(other) || other.contains(one) || layer(one) !== layer(other)) continue;
      const across = Math.max(a.left, b.left) - Math.min(a.right, b.right);
      const down = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
      const apart = Math.max(across, down);
      if (apart < 7.9) found.push(`${apart.toFixed(1)} px apart: ${named(one)} and ${named(other)}`);
    }
  });
}

// What an independent checker of the published accessibility criteria finds; none of its rules is switched off.
if (wanted.axe) {
  const answer = await axe.run(document, {
    runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
    resultTypes: ["violations"],
  });
  for (const violation of answer.violations) {
    for (const node of violation.nodes) {
      const why = (node.any[0] || node.all[0] || node.none[0] || {}).message || violation.help;
      found.push(`axe ${violation.id}: ${node.html.slice(0, 160)}: ${why}`);
    }
  }
  if (answer.passes.length === 0) found.push("axe looked at nothing");
}
return found;
