(function () {
  "use strict";
  // A slider says its number while it is moved; the answer follows when it is let go.
  document.addEventListener("input", function (event) {
    var said = document.querySelector('output[data-of="' + event.target.id + '"]');
    if (said) {
      said.textContent = Math.round(event.target.value * 100);
    }
  });
})();
