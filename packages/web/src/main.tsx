import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { config } from 'zod';
import { App } from './app.tsx';
import './styles/tokens.css';
import './styles/base.css';
import './styles/sheet.css';
import './styles/controls.css';
import './styles/layout.css';
import { applyTheme, currentTheme } from './state/theme.ts';

// The page's policy forbids making functions from text, which the schema library would otherwise try.
config({ jitless: true });
applyTheme(currentTheme());
createRoot(document.getElementById('page')!).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
