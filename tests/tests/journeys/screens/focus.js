// What has the focus after a press of Tab: whether one can see that, and whether it is on screen at all.
const element = document.activeElement;
if (!element || element === document.body) return { end: true };
const style = getComputedStyle(element);
const box = element.getBoundingClientRect();
const name = `<${element.tagName.toLowerCase()} class="${element.getAttribute("class") || ""}"> ${(
  element.getAttribute("aria-label") || element.textContent.trim().replace(/\s+/g, " ")
).slice(0, 50)}`;
const problems = [];
// The parts of a date field have the focus inside it: the field itself then counts as focused only.
const shown = element.matches('input[type="date"]') ? ":focus-within" : ":focus-visible";
if (!element.matches(shown) || style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) {
  problems.push(`focus cannot be seen on ${name}`);
}
// The middle, and a point near each edge: one of them must be on top (WCAG 2.2, 2.4.11: not entirely hidden).
const points = [0.5, 0.1, 0.9].map((share) => [
  box.left + Math.min(box.width / 2, 40),
  box.top + box.height * share,
]);
const visible = points.some(([x, y]) => {
  const top = document.elementFromPoint(x, y);
  return top && (element.contains(top) || top.contains(element));
});
if (!visible) problems.push(`focus is hidden or off screen on ${name}`);
const first = !window.setdownFirstFocus;
window.setdownFirstFocus ??= element;
return { end: !first && window.setdownFirstFocus === element, problems };
