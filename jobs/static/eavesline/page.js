// What every page does a little better with a script. Nothing here is needed to work.

// After a refusal, look at what has to be put right.
function lookHere(root) {
  const first = root.querySelector("[data-look-here]");
  if (first) {
    first.focus();
  }
}

function say(words, look) {
  const live = document.getElementById("live");
  if (live) {
    const note = document.createElement("p");
    note.className = look;
    note.dataset.kind = "stop";
    note.textContent = words;
    live.replaceChildren(note);
  }
}

function warn(words) {
  say(words, "note");
}

// Work in progress asks the server each second; ears hear of it at each quarter only.
let heard = 0;
function tell(working) {
  const percent = Number(working.dataset.percent);
  const quarter = Math.floor(percent / 25);
  if (quarter !== heard) {
    heard = quarter;
    const over = !working.hasAttribute("hx-get");
    say(over ? "The work has come to its end." : `About ${percent} percent done.`, "vh");
  }
}

// A whole page (the door, after a long break) never lands inside a fragment: go there.
// Only a refused form takes its own part out of the page that answers it.
document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr, requestConfig } = event.detail;
  const refused = xhr.status === 422 && requestConfig.elt.hasAttribute("hx-select");
  if (!refused && /^\s*<!doctype/i.test(xhr.responseText)) {
    event.detail.shouldSwap = false;
    window.location.assign(xhr.responseURL);
  }
});

// An open menu closes on Escape and on a tap elsewhere.
function closeMenus(except) {
  for (const menu of document.querySelectorAll(".person[open], .nav-more[open]")) {
    if (!menu.contains(except)) {
      menu.open = false;
    }
  }
}

document.addEventListener("click", (event) => closeMenus(event.target));
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    const open = document.querySelector(".person[open], .nav-more[open]");
    closeMenus(null);
    open?.querySelector("summary").focus();
  }
});

document.addEventListener("htmx:afterSettle", (event) => {
  lookHere(event.target);
  if (event.target.matches(".working")) {
    tell(event.target);
  }
});
document.addEventListener("htmx:sendError", () =>
  warn("That did not get through: no connection. Nothing is saved. Try again."),
);
document.addEventListener("htmx:responseError", (event) => {
  const refused = event.detail.xhr.status === 403;
  warn(refused ? "You may not do that." : "That did not work. Nothing is saved. Reload the page and try again.");
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) {
    window.print();
  }
});

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
}

lookHere(document);
