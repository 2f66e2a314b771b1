// A form with data-live brings its answer while it is filled in; the button does the same without this.
const PAUSE_MS = 250;

for (const form of document.querySelectorAll("form[data-live]")) {
  const answer = document.getElementById(form.dataset.live);
  const said = document.querySelector("[data-said]");
  let timer = 0;
  let asked = null;

  async function ask() {
    asked?.abort();
    asked = new AbortController();
    const filled = [...new FormData(form)].filter(([, value]) => value !== "");
    const url = `${form.getAttribute("action")}?${new URLSearchParams(filled)}`;
    answer.setAttribute("aria-busy", "true");
    try {
      const reply = await fetch(url, { headers: { "X-Part": "answer" }, signal: asked.signal });
      if (!reply.ok || reply.redirected) throw new Error(reply.statusText);
      answer.innerHTML = await reply.text();
      // What the page said of the fields when it came is old now: the answer says what is wrong with them.
      for (const old of form.querySelectorAll(".field-error")) old.remove();
      for (const field of form.querySelectorAll(".wrong")) field.classList.remove("wrong");
      for (const field of form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
      said.textContent = answer.querySelector("[data-say]")?.dataset.say ?? answer.textContent.trim();
      history.replaceState(null, "", url);
    } catch (error) {
      if (error.name === "AbortError") return;
      said.textContent = "The answer did not come. Press the button to ask again.";
    }
    answer.removeAttribute("aria-busy");
  }

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, PAUSE_MS);
  });
}
