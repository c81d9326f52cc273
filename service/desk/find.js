// Lets the list follow what is typed. Without it the same page comes by the button, or by Enter.
"use strict";
{
  const field = document.getElementById("q");
  const found = document.getElementById("found");
  let waiting = 0;
  let latest = 0;
  const refresh = async () => {
    const mine = (latest += 1);
    const address = new URL(field.form.action);
    address.search = new URLSearchParams(new FormData(field.form)).toString();
    try {
      const answer = await fetch(address, { credentials: "same-origin", redirect: "error" });
      if (!answer.ok || mine !== latest) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (mine !== latest) return;
      found.replaceChildren(...document.adoptNode(page.getElementById("found")).childNodes);
      history.replaceState(null, "", address);
    } catch {
      // The network is gone: the button still says so.
    }
  };
  field.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(refresh, 150);
  });
}
