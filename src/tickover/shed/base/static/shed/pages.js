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

// On the phone the line of chapters shows the one that is open.
document.querySelector("nav [aria-current]")?.scrollIntoView({ inline: "center", block: "nearest" });
