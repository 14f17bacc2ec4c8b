// A form that may take over two seconds says what is being done: <form data-waits="Simulating the bike ...">.
document.addEventListener("submit", (event) => {
  const says = event.target.dataset.waits;
  if (!says) return;
  setTimeout(() => {
    const line = document.querySelector(".waiting-for");
    line.textContent = says + " The browser\u2019s own stop button ends it.";
    line.hidden = false;
  }, 2000);
});
