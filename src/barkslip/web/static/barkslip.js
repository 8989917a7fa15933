/* Only comforts. Every page works without this file. */
"use strict";

(function () {
  const root = document.documentElement;
  const KEY = "barkslip.light";

  function light(word) {
    root.classList.toggle("dim", word === "dim");
    root.classList.toggle("bright", word === "bright");
  }
  function saved() {
    try { return localStorage.getItem(KEY) || ""; } catch { return ""; }
  }
  function isDim() {
    return root.classList.contains("dim") ||
      (!root.classList.contains("bright") && matchMedia("(prefers-color-scheme: dark)").matches);
  }
  light(saved());

  document.addEventListener("DOMContentLoaded", function () {
    const toggle = document.querySelector("[data-light]");
    if (toggle) {
      toggle.hidden = false;
      const say = function () { toggle.textContent = isDim() ? "Bright page" : "Dim page"; };
      say();
      toggle.addEventListener("click", function () {
        const word = isDim() ? "bright" : "dim";
        light(word);
        try { localStorage.setItem(KEY, word); } catch { /* a private window keeps nothing */ }
        say();
      });
    }

    /* A picture is shown before it is sent. */
    document.querySelectorAll("input[type=file][accept^='image']").forEach(function (input) {
      input.addEventListener("change", function () {
        const old = input.parentNode.querySelector(".preview");
        if (old) { URL.revokeObjectURL(old.src); old.remove(); }
        const file = input.files && input.files[0];
        if (!file) { return; }
        const picture = document.createElement("img");
        picture.className = "preview";
        picture.alt = "the picture you chose";
        picture.src = URL.createObjectURL(file);
        input.after(picture);
      });
    });

    /* Names to choose from while typing, if the server offers them. */
    document.querySelectorAll("input[data-suggest]").forEach(function (input) {
      const list = document.createElement("datalist");
      list.id = input.id + "-suggest";
      input.after(list);
      input.setAttribute("list", list.id);
      let timer = 0;
      input.addEventListener("input", function () {
        clearTimeout(timer);
        timer = setTimeout(function () {
          const text = input.value.trim();
          if (text.length < 2) { return; }
          fetch(input.dataset.suggest + encodeURIComponent(text), { headers: { Accept: "application/json" } })
            .then(function (answer) { return answer.ok ? answer.json() : []; })
            .then(function (words) {
              list.replaceChildren.apply(list, words.slice(0, 12).map(function (word) {
                const option = document.createElement("option");
                option.value = String(word);
                return option;
              }));
            })
            .catch(function () { /* no signal: typing goes on */ });
        }, 180);
      });
    });

    /* What takes a moment to work out is fetched when the page stands, from where its own link leads. */
    document.querySelectorAll("[data-later]").forEach(function (part) {
      const link = part.querySelector("a[href]");
      if (!link || !part.id) { return; }
      fetch(link.href, { headers: { Accept: "text/html" } })
        .then(function (answer) { return answer.ok ? answer.text() : ""; })
        .then(function (text) {
          const found = new DOMParser().parseFromString(text, "text/html").getElementById(part.id);
          if (found) { part.replaceWith(document.adoptNode(found)); }
        })
        .catch(function () { /* no signal: the link stays */ });
    });

    /* One tap, one line in the book: a form is sent once. Its id makes a second sending harmless anyway. */
    document.querySelectorAll("form[method=post]").forEach(function (form) {
      let sent = false;
      form.addEventListener("submit", function (event) {
        if (sent) { event.preventDefault(); return; }
        sent = true;
        setTimeout(function () { sent = false; }, 4000); /* no signal: it may be sent again */
      });
    });
    /* Lists that a page folds stand on paper in full. */
    let opened = [];
    addEventListener("beforeprint", function () {
      opened = Array.from(document.querySelectorAll("details.paper:not([open])"));
      opened.forEach(function (one) { one.open = true; });
    });
    addEventListener("afterprint", function () {
      opened.forEach(function (one) { one.open = false; });
    });

    addEventListener("pageshow", function (event) { if (event.persisted) { location.reload(); } });
  });
})();
