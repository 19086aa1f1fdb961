// Forms of the day on site, sent from a phone. The phone says when the button was first
// pressed and when what arrives was sent; without a script the server's clock does. Where
// there is no signal the page stays as it is, and what was typed stays in it.

const pressed = (form) => form?.elements?.namedItem("device_at");

function stamp(form) {
  const now = new Date().toISOString();
  const uid = form.elements.namedItem("client_uid");
  if (uid && !uid.value && window.crypto?.randomUUID) {
    uid.value = window.crypto.randomUUID();
  }
  pressed(form).value ||= now;
  form.elements.namedItem("sent_at").value = now;
}

function say(form, ...words) {
  let note = form.querySelector(".unsent");
  if (!note) {
    note = document.createElement("p");
    note.className = "note unsent";
    note.dataset.kind = "stop";
    note.tabIndex = -1;
    note.setAttribute("role", "alert");
    form.querySelector("[type=submit]").closest(".submit, form > *").before(note);
  }
  note.replaceChildren(...words);
  note.focus();
}

function unsay(form) {
  form.querySelector(".unsent")?.remove();
}

// A button alone has nothing filled in to speak of.
function whatStays(form) {
  const typed = "select, textarea, input:not([type=hidden])";
  return form.querySelector(typed) ? "What you filled in is still here. " : "";
}

function doorLink(url) {
  const link = document.createElement("a");
  link.href = url;
  link.target = "_blank";
  link.textContent = "Log in on another page";
  return link;
}

document.addEventListener(
  "submit",
  (event) => {
    if (pressed(event.target)) {
      stamp(event.target);
      unsay(event.target);
    }
  },
  { capture: true },
);

// Changed after it was sent in vain: it is a new thing, said when it is sent again.
document.addEventListener("input", (event) => {
  const first = pressed(event.target.form);
  if (first) {
    first.value = "";
  }
});

for (const lost of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(
    lost,
    (event) => {
      if (pressed(event.target)) {
        event.stopImmediatePropagation();
        say(
          event.target,
          "No signal: nobody has heard of this yet. ",
          whatStays(event.target),
          "Leave the page open and press again when there is signal.",
        );
      }
    },
    { capture: true },
  );
}

// Logged out in the meantime: the door opens beside the form, not in its place. The
// same for any other page that is no answer to the form: what was typed stays.
document.addEventListener(
  "htmx:beforeSwap",
  (event) => {
    const form = event.detail.requestConfig.elt;
    const { xhr } = event.detail;
    const isAnswer = xhr.status === 422 || !/^\s*<!doctype/i.test(xhr.responseText);
    if (!pressed(form) || isAnswer) {
      return;
    }
    event.stopImmediatePropagation();
    event.detail.shouldSwap = false;
    if (xhr.status === 200 || xhr.status === 403) {
      say(form, "You are logged out. ", doorLink(xhr.responseURL), ", come back and press again.");
    } else {
      say(
        form,
        "This did not get through. ",
        whatStays(form),
        "Wait a little, then press again: it counts once.",
      );
    }
  },
  { capture: true },
);

// Logging in changes the secret that forms carry; the new one lies in a cookie.
document.addEventListener("htmx:configRequest", (event) => {
  const cookie = /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie);
  if (pressed(event.target) && cookie) {
    event.detail.parameters.csrfmiddlewaretoken = cookie[1];
  }
});
