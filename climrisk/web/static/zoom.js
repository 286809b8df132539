(function () {
  "use strict";
  // The plot library writes style attributes, which the page's policy does not allow as
  // text; written through the style object, they are.
  var plain = Element.prototype.setAttribute;
  Element.prototype.setAttribute = function (name, value) {
    if (name === "style") {
      this.style.cssText = value;
    } else {
      plain.call(this, name, value);
    }
  };
  var held = JSON.parse(document.getElementById("zoom-data").textContent);
  var place = document.getElementById("zoom");
  var layout = held.figure.layout;
  layout.dragmode = "zoom";
  ["xaxis", "yaxis"].forEach(function (name) {
    if (layout[name]) {
      layout[name].fixedrange = false;
    }
  });
  held.config.doubleClick = "reset";
  place.textContent = "";
  Plotly.newPlot(place, held.figure.data, layout, held.config);
})();
