// SPDX-License-Identifier: MIT

// Package tour leads a newcomer through a window: step by step it frames a
// place, says beside it what to try there, and notices when it is done. It is
// never in the way: the window works as ever, and the tour can be left and
// taken up again at any time.
package tour
