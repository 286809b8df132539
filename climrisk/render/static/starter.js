(function () {
  "use strict";
  var held = JSON.parse(document.getElementById("figures").textContent);
  var narrow = window.innerWidth < 560;
  var DAY = 86400000;

  // On a narrow screen fewer words stand in the picture; the caption has them all.
  function slim(figure) {
    var layout = figure.layout;
    layout.margin.r = 62;
    layout.margin.l = 34;
    layout.font.size = 11;
    if (layout.xaxis.dtick === "M1" && layout.xaxis.range) {
      layout.xaxis.dtick = "M2";
    }
    figure.data.forEach(function (trace) {
      delete trace.text;
    });
    layout.annotations = apart(layout.annotations || []);
    layout.annotations.forEach(function (note) {
      note.font.size = 10;
    });
  }

  // Keep, of the named coldest nights, those that have room.
  function apart(notes) {
    var kept = [];
    var coldest = notes.filter(function (n) {
      return n.name && n.name.indexOf("worst") === 0;
    });
    coldest.sort(function (a, b) {
      return a.name < b.name ? -1 : 1;
    });
    coldest.forEach(function (note) {
      var room = kept.every(function (other) {
        return Math.abs(Date.parse(note.ax) - Date.parse(other.ax)) > 24 * DAY;
      });
      if (room) {
        kept.push(note);
      }
    });
    return notes.filter(function (n) {
      if (n.name === "hint") {
        return false;
      }
      return coldest.indexOf(n) < 0 || kept.indexOf(n) >= 0;
    });
  }

  Object.keys(held.figures).forEach(function (id) {
    var figure = held.figures[id];
    if (narrow) {
      // Maps side by side have no room on a phone: the still ones stand one by one.
      if (figure.layout.meta && figure.layout.meta.wide) {
        return;
      }
      slim(figure);
    }
    var place = document.getElementById(id);
    place.textContent = "";
    Plotly.newPlot(place, figure.data, figure.layout, held.config);
  });
})();
