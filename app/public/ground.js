// Before anything is painted: a page in the darkroom must not flash white.
try {
  const theme = localStorage.getItem('camerawright.theme');
  document.documentElement.dataset.theme =
    theme ?? (matchMedia('(prefers-color-scheme: dark)').matches ? 'night' : 'paper');
} catch {
  // No storage: paper.
}
