"use strict";
(function () {
  const form = document.getElementById("filter");
  const list = document.getElementById("list");
  if (!form || !list) return;
  const items = Array.from(list.children);
  const words = form.elements.words, rule = form.elements.rule, told = document.getElementById("told");
  const grades = Array.from(form.querySelectorAll("input[name=grade]"));
  const texts = items.map(function (li) { return li.textContent.toLowerCase(); });
  let here = -1;
  form.hidden = false;
  function filter() {
    const wanted = words.value.toLowerCase().split(/\s+/).filter(Boolean);
    const on = grades.filter(function (g) { return g.checked; }).map(function (g) { return g.value; });
    let shown = 0;
    items.forEach(function (li, i) {
      const fits = on.includes(li.dataset.grade) && (!rule.value || li.dataset.rule === rule.value) &&
        wanted.every(function (w) { return texts[i].includes(w); });
      li.hidden = !fits;
      if (fits) shown++;
    });
    here = -1;
    told.textContent = told.dataset.words.replace("{1}", shown).replace("{2}", items.length);
  }
  function step(by) {
    let at = here;
    do { at += by; } while (at >= 0 && at < items.length && items[at].hidden);
    if (at < 0 || at >= items.length) return;
    here = at;
    items[at].focus();
    items[at].scrollIntoView({ block: "nearest" });
  }
  function only(id) {
    rule.value = id;
    filter();
    document.getElementById("findings").scrollIntoView();
    words.focus({ preventScroll: true });
  }
  form.addEventListener("input", filter);
  form.addEventListener("change", filter);
  form.addEventListener("submit", function (e) { e.preventDefault(); });
  form.addEventListener("reset", function () { setTimeout(filter, 0); });
  list.addEventListener("focusin", function (e) { here = items.indexOf(e.target.closest("li")); });
  document.querySelectorAll("button.rule").forEach(function (b) {
    b.addEventListener("click", function () { only(b.dataset.rule); });
  });
  document.addEventListener("keydown", function (e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const typing = e.target === words || e.target === rule;
    if (e.key === "Escape") { form.reset(); setTimeout(filter, 0); words.focus(); }
    else if (typing) { if (e.target === words && e.key === "Enter") { e.preventDefault(); step(1); } }
    else if (e.key === "/") { e.preventDefault(); words.focus(); words.select(); }
    else if (e.key === "n") { e.preventDefault(); step(1); }
    else if (e.key === "p") { e.preventDefault(); step(-1); }
  });
  filter();
})();
