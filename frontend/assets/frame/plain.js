// @ts-check
// A page of text: only the frame around it has a script.

import { startFrame } from './frame.js';

startFrame();
