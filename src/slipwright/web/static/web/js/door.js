// The first run: the clock's zone and the place from the device, and a plant found without leaving the page.

const form = document.getElementById("first-run");
const zone = form.elements.time_zone;
if (zone && !zone.value) {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if ([...zone.options].some((option) => option.value === here)) zone.value = here;
}

const button = document.getElementById("here");
if (button && navigator.geolocation) {
  button.hidden = false;
  button.addEventListener("click", () => {
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        for (const [name, value, plus, minus] of [
          ["latitude", coords.latitude, "N", "S"],
          ["longitude", coords.longitude, "E", "W"],
        ]) {
          form.elements[name].value = Math.abs(value).toFixed(1);
          form.elements[`${name}_side`].value = value < 0 ? minus : plus;
        }
      },
      () => { button.hidden = true; },
      { maximumAge: 3_600_000 },
    );
  });
}

const find = form.elements.find;
let asked = form.elements.asked_for ? form.elements.asked_for.value : "";

async function look() {
  const name = form.elements.plant.value.trim();
  if (name === asked) return;
  asked = name;
  const sent = new FormData(form);
  sent.delete("password");
  sent.delete("code");
  sent.append("find", "1");
  let page;
  try {
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(sent) });
    page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    asked = "";
    return;
  }
  const found = page.getElementById("found");
  if (found && form.elements.plant.value.trim() === name) document.getElementById("found").replaceWith(found);
}

if (find) {
  find.addEventListener("click", (event) => { event.preventDefault(); asked = ""; look(); });
  form.elements.plant.addEventListener("change", look);
  form.elements.plant.addEventListener("keydown", (event) => {
    if (event.key === "Enter") { event.preventDefault(); look(); }
  });
}
