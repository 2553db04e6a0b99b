"""What is looked for on a page: WCAG 2.2 AA by an engine; targets for gloves, whole words, nothing over the edge."""

CHECKS = """() => {
  const wrong = [];
  const told = (one) => one.outerHTML.slice(0, 120);
  const shown = (one) => one.checkVisibility() && one.getBoundingClientRect().width > 2;
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  const twice = ids.filter((one, at) => ids.indexOf(one) !== at);
  if (twice.length) wrong.push("an id stands twice: " + twice);
  for (const one of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
    if (!one.labels.length) wrong.push("no label: " + told(one));
  }
  for (const one of document.querySelectorAll("a, button, summary")) {
    if (!(one.textContent || one.getAttribute("aria-label") || "").trim()) wrong.push("no name: " + told(one));
  }
  for (const one of document.querySelectorAll("svg")) {
    if (!one.getAttribute("aria-label") && !one.closest("[aria-hidden=true]"))
      wrong.push("a picture without words: " + told(one));
  }
  let level = 0;
  for (const one of document.querySelectorAll("h1, h2, h3, h4")) {
    const now = Number(one.tagName[1]);
    if (now > level + 1) wrong.push("a heading is skipped: " + told(one));
    level = now;
  }
  for (const one of document.querySelectorAll("button, summary, .doors a, .big")) {
    const box = one.getBoundingClientRect();
    if (shown(one) && (box.height < 44 || box.width < 44)) wrong.push("too small for a glove: " + told(one));
  }
  const numbers = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map((part) => part / 255)
    .map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
    .reduce((sum, part, at) => sum + part * [0.2126, 0.7152, 0.0722][at], 0);
  const behind = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const found = numbers(getComputedStyle(at).backgroundColor);
      if (found.length < 4 || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const one = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || one.closest("svg") || !shown(one)) continue;
    const style = getComputedStyle(one);
    const [ink, paper] = [light(numbers(style.color)), light(behind(one))];
    const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    if (ratio < 4.5) wrong.push(`contrast ${ratio.toFixed(2)}: ` + told(one));
  }
  const alone = (one) => !one.textContent.trim() || !one.parentElement.checkVisibility()
    || one.parentElement.closest("svg, script, option, .unseen, .skip");
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const one = texts.currentNode;
    if (alone(one)) continue;
    const range = document.createRange();
    range.selectNodeContents(one);
    const lines = new Set([...range.getClientRects()].filter((box) => box.width > 1).map((box) => Math.round(box.top)));
    const words = one.textContent.trim().split(/[\\s\\u2010-]+/);
    if (lines.size > words.length) wrong.push("a word is broken: " + one.textContent.trim().slice(0, 60));
  }
  for (const one of document.querySelectorAll("a, select, input:not([type=checkbox], [type=radio], [type=hidden])")) {
    const inline = one.tagName === "A" && getComputedStyle(one).display === "inline" && !one.closest(".rows, .key");
    const box = one.getBoundingClientRect();
    if (shown(one) && !inline && !one.closest(".unseen, .skip") && box.height < 43.5)
      wrong.push(`too low for a glove, ${Math.round(box.height)}: ` + told(one));
  }
  for (const one of document.querySelectorAll("main *")) {
    const box = one.getBoundingClientRect();
    if (shown(one) && box.right > innerWidth + 1 && !one.closest(".scroll, .unseen")) {
      wrong.push("it goes over the edge: " + told(one));
      break;
    }
  }
  if (document.documentElement.scrollWidth > innerWidth) wrong.push("the page scrolls sideways");
  return wrong;
}"""


def faults_of(page):
    """What is wrong with a page as it stands, and once everything on it is unfolded."""
    from axe_playwright_python.sync_playwright import Axe

    found = page.evaluate(CHECKS)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    found += [f"unfolded: {one}" for one in page.evaluate(CHECKS) if one not in found]
    for one in Axe().run(page).response["violations"]:
        found.append((one["id"], [node["html"][:160] for node in one["nodes"][:3]]))
    return found
