(function () {
  "use strict";
  var held = JSON.parse(document.getElementById("figures").textContent);
  var narrow = window.innerWidth < 560;
  Object.keys(held.figures).forEach(function (id) {
    var figure = held.figures[id];
    var place = document.getElementById(id);
    if (narrow) {
      figure.layout.margin.r = 62;
      figure.layout.margin.l = 34;
      figure.layout.font.size = 11;
      (figure.layout.annotations || []).forEach(function (note) {
        note.font.size = 10;
      });
    }
    Plotly.newPlot(place, figure.data, figure.layout, held.config);
  });
})();
