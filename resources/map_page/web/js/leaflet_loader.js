// Leaflet comes from the installed package; its folder is named in the page's address.

export function loadLeaflet(folderUrl) {
  if (!folderUrl || new URL(folderUrl).protocol !== "file:") throw new Error("the address names no local Leaflet");
  return Promise.all([loadStyle(`${folderUrl}/leaflet.css`), loadScript(`${folderUrl}/leaflet.js`)]);
}

function loadScript(url) {
  const script = document.createElement("script");
  script.src = url;
  return appended(script);
}

function loadStyle(url) {
  const sheet = document.createElement("link");
  sheet.rel = "stylesheet";
  sheet.href = url;
  return appended(sheet, document.head.firstChild); // before our own sheets, so that ours win
}

function appended(element, before = null) {
  return new Promise((resolve, reject) => {
    element.onload = resolve;
    element.onerror = () => reject(new Error(`cannot load ${element.src ?? element.href}`));
    document.head.insertBefore(element, before);
  });
}
