/** Paper or blueprint: the system's wish, unless the maker chose. The choice stays in this browser. */
export type Theme = 'paper' | 'blueprint';

const KEY = 'inlaywright-theme';

function chosen(): Theme | null {
  try {
    const value = localStorage.getItem(KEY);
    return value === 'paper' || value === 'blueprint' ? value : null;
  } catch {
    return null;
  }
}

export function currentTheme(): Theme {
  return chosen() ?? (matchMedia('(prefers-color-scheme: dark)').matches ? 'blueprint' : 'paper');
}

export function applyTheme(theme: Theme): void {
  document.documentElement.dataset.theme = theme;
}

export function chooseTheme(theme: Theme): void {
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // Storage may be switched off; the choice then lasts as long as the page.
  }
  applyTheme(theme);
}
