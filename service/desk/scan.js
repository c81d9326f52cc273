// Where the browser reads codes: a button that takes a photograph of a label and looks for what its code says. Everything else works without.
"use strict";
if ("BarcodeDetector" in window && "createImageBitmap" in window) {
  const field = document.getElementById("code");
  const offered = document.getElementById("scan");
  const failed = document.getElementById("scan-failed");
  const camera = document.createElement("input");
  camera.type = "file";
  camera.accept = "image/*";
  camera.setAttribute("capture", "environment");
  camera.addEventListener("change", async () => {
    failed.hidden = true;
    try {
      const picture = await createImageBitmap(camera.files[0]);
      const [code] = await new BarcodeDetector({ formats: ["qr_code"] }).detect(picture);
      field.value = code.rawValue;
      field.form.requestSubmit();
    } catch {
      failed.hidden = false;
      field.focus();
    }
    camera.value = "";
  });
  offered.addEventListener("click", () => camera.click());
  offered.hidden = false;
}
