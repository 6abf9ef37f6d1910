// Runs in a blank document beside the page: opens the page's own worker and leaves `ask` to put requests to it.
(address) => {
  const worker = new Worker(address, { type: "module" });
  let id = 0;
  window.ask = (method, params) =>
    new Promise((resolve, reject) => {
      const mine = ++id;
      const hear = ({ data }) => {
        if (data.kind === "progress" || (data.id !== undefined && data.id !== mine)) return;
        worker.removeEventListener("message", hear);
        if (data.kind === "result") resolve(data.result);
        else reject(new Error(JSON.stringify(data)));
      };
      worker.addEventListener("message", hear);
      worker.postMessage({ id: mine, method, params });
    });
}
