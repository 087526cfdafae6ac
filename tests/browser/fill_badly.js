// Fills the largest form of the page with nothing sensible; returns whether there is one.
() => {
  const forms = [...document.querySelectorAll("main form[method=post]")].filter((form) =>
    form.querySelector("input:not([type=hidden]), select, textarea"),
  );
  if (!forms.length) return false;
  const [form] = forms.sort((one, other) => other.elements.length - one.elements.length);
  for (const field of form.elements) {
    if (field.matches("[type=checkbox], [type=radio]")) field.checked = false;
    else if (field.matches("[type=text], [type=number]")) field.value = "x";
    else if (field.matches("textarea, [type=password], [type=date]")) field.value = "";
  }
  form.id = "filled-badly";
  return true;
};
