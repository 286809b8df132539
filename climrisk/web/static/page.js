(function () {
  "use strict";
  // A slider says its number while it is moved; the answer follows when it is let go.
  document.addEventListener("input", function (event) {
    var said = document.querySelector('output[data-of="' + event.target.id + '"]');
    if (said) {
      said.textContent = Math.round(event.target.value * 100);
    }
  });

  // A folded choice says in its line what was chosen.
  document.addEventListener("change", function (event) {
    var picker = event.target.closest("details.picker");
    if (picker && event.target.type === "radio") {
      picker.querySelector("summary small").textContent =
        event.target.closest("label").querySelector("b").textContent;
    }
  });

  // Buttons that need a script show themselves. Nothing here needs a secure origin.
  function show(root) {
    root.querySelectorAll("[data-do]").forEach(function (button) {
      button.hidden = button.dataset.do === "share" && !navigator.share;
    });
  }

  function copied(text) {
    // Over plain HTTP in the house there is no clipboard object: select and copy.
    if (navigator.clipboard) {
      return navigator.clipboard.writeText(text).then(
        function () { return true; },
        function () { return false; }
      );
    }
    var field = document.createElement("textarea");
    field.value = text;
    field.className = "hidden";
    document.body.append(field);
    field.select();
    var done = document.execCommand("copy");
    field.remove();
    return Promise.resolve(done);
  }

  document.addEventListener("click", function (event) {
    var button = event.target.closest("[data-do]");
    if (!button) {
      return;
    }
    if (button.dataset.do === "print") {
      window.print();
    } else if (button.dataset.do === "share") {
      navigator.share({ title: document.title, url: location.href }).catch(function () {});
    } else if (button.dataset.do === "copy") {
      copied(location.href).then(function (done) {
        var said = button.parentNode.querySelector("[data-said]");
        said.textContent = done ? "Link copied." : location.href;
      });
    }
  });

  // An open menu closes when something else is pressed, or by Escape.
  document.addEventListener("click", function (event) {
    document.querySelectorAll("details.menu[open]").forEach(function (menu) {
      if (!menu.contains(event.target)) {
        menu.open = false;
      }
    });
  });
  document.addEventListener("keydown", function (event) {
    var menu = event.key === "Escape" && document.querySelector("details.menu[open]");
    if (menu) {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  });

  // On a phone a long list begins with what is due; the rest waits folded.
  function fold() {
    if (innerWidth >= 560 || document.querySelectorAll("li.row").length <= 12) {
      return;
    }
    document.querySelectorAll("#g-later, #g-out, #g-inside").forEach(function (group) {
      if (!group.dataset.folded) {
        group.dataset.folded = "once";
        group.open = false;
      }
    });
  }
  document.addEventListener("htmx:after:settle", fold);

  // What is open stays open when dates arrive.
  var opened = [];
  document.addEventListener("htmx:before:swap", function () {
    opened = Array.from(document.querySelectorAll("details[open][id]"), function (part) {
      return part.id;
    });
  });
  document.addEventListener("htmx:after:settle", function () {
    opened.forEach(function (id) {
      var part = document.getElementById(id);
      if (part) {
        part.open = true;
      }
    });
  });

  show(document);
  fold();
  document.addEventListener("htmx:after:settle", function () { show(document); });
})();
