// For pages that set embed.html into an iframe with data-handpath: gives each such frame the height of what it shows.

addEventListener('message', ({ origin, source, data }) => {
  if (data?.handpath !== 'height' || !Number.isFinite(data.height)) return;
  const frames = [...document.querySelectorAll('iframe[data-handpath]')];
  const frame = frames.find(({ contentWindow, src }) => contentWindow === source && new URL(src, document.baseURI).origin === origin);
  if (frame) frame.style.height = `${Math.min(Math.max(data.height, 100), 10000)}px`;
});
