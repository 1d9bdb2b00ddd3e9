// Parts of the page, the address that a view has, and the start.
const tabs = [...$("tabs").children].filter((tab) => {
  const name = tab.getAttribute("aria-controls");
  const there = !(name in others) || others[name].length > 0;
  if (!there) { tab.remove(); $(name).remove(); }
  return there;
});
function openTab(name, focus) {
  const wanted = tabs.find((tab) => tab.getAttribute("aria-controls") === name) || tabs[0];
  for (const tab of tabs) {
    const on = tab === wanted;
    tab.setAttribute("aria-selected", String(on));
    tab.tabIndex = on ? 0 : -1;
    $(tab.getAttribute("aria-controls")).hidden = !on;
  }
  $("tabs").dataset.at = wanted.getAttribute("aria-controls");
  if (focus) wanted.focus();
  showOthers();
  if ($("tabs").dataset.at === "round") startRound();
  say("");
  address();
}
$("tabs").addEventListener("click", (event) => {
  const tab = event.target.closest("[role=tab]");
  if (tab) openTab(tab.getAttribute("aria-controls"));
});
$("tabs").addEventListener("keydown", (event) => {
  const at = tabs.indexOf(document.activeElement);
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: tabs.length - 1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  openTab(tabs[(to + tabs.length) % tabs.length].getAttribute("aria-controls"), true);
});

// The address says what differs from how the page opens: it can be kept as a bookmark and sent.
const view = () => ({
  ...state(), one: $("one").checked ? "yes" : "no", search: $("search").value.trim(),
  sort: `${order.key}${order.up ? "" : " down"}`, part: $("tabs").dataset.at || "words",
});
const first = () => ({ ...Object.fromEntries(CHOICES.map((id) => [id, ""])), allophone: opening.allophone, "top-level": "C2",
  one: opening.one ? "yes" : "no", search: "", sort: "rank", part: "words" });
let reading = true;
let soon = 0;
// Browsers are slow to change an address and allow it a few times a second only.
function address() {
  clearTimeout(soon);
  soon = setTimeout(toAddress, 250);
}
function toAddress() {
  if (reading) return;
  const [now, before] = [view(), first()];
  const said = new URLSearchParams(Object.entries(now).filter(([name, value]) => value !== before[name]));
  const hash = String(said) ? `#${said}` : "#";
  if (hash === (location.hash || "#")) return;
  try { history.replaceState(null, "", hash); } catch { location.replace(hash); }
}
function read() {
  reading = true;
  open_();
  const said = new URLSearchParams(location.hash.slice(1));
  for (const id of CHOICES) if (said.has(id) && [...$(id).options].some((one) => one.value === said.get(id))) $(id).value = said.get(id);
  if (said.has("one")) $("one").checked = said.get("one") === "yes";
  if (said.has("search")) $("search").value = said.get("search");
  const [name, down] = (said.get("sort") || "").split(" ");
  if (COLUMNS.some(([known_]) => known_ && known_ === name)) order = { key: name, up: !down };
  choose();
  openTab(said.get("part") || "words");
  reading = false;
  address();
}
window.addEventListener("hashchange", () => { if (!reading) read(); });

// Widths of the columns: a letter of a word or of IPA takes about as much of an em as this.
const widest = (name, em) => `${Math.ceil(words.reduce((top, entry) => Math.max(top, entry[name].length), 6) * em * 10) / 10}rem`;
document.documentElement.style.setProperty("--word", widest("word", 0.75));
document.documentElement.style.setProperty("--ipa", widest("ipa", 0.58));

// The first question makes some browsers load their voices.
voice();
key();
tellChosen();
read();
