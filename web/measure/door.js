// Runs in a blank document beside the page: `opened` opens one of the page's own workers and gives back how to ask
// it; `ask` puts requests to the first.
(address) => {
  window.opened = () => {
    const worker = new Worker(address, { type: "module" });
    let id = 0;
    return (method, params) =>
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
  };
  window.ask = window.opened();
}
