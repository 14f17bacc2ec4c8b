// Many wire tags: Enter goes on to the next row, and asks for a new one after the last.
const form = document.getElementById("tag-rows");
const startIn = (row) => {
  row.querySelector(".colours input").focus({ preventScroll: true });
  row.scrollIntoView({ block: matchMedia("(max-width: 45rem)").matches ? "start" : "nearest" });
};
form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches(".tag-row input")) return;
  event.preventDefault();
  const next = event.target.closest(".tag-row").nextElementSibling;
  if (next) startIn(next);
  else document.getElementById("another").click();
});
form.addEventListener("htmx:afterSettle", () => {
  const row = form.querySelector(".tag-row[data-new]");
  if (!row) return;
  row.removeAttribute("data-new");
  startIn(row);
});
