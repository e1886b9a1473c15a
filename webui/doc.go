// Package webui answers: what does the daemon say to a browser, a script or a
// monitoring system?
//
// In: a [Bench], asked for its status, its runs and its batches of frames. Out: the
// pages, the websocket /live (package live), the JSON API under /api/, the metrics
// and two health checks, all listed in one table ([Server.routes]); README.md and
// openapi.json beside this file describe them. Quantities carry their unit in their
// name; an absent one is null, and no old value is ever shown as a new one.
//
// It refuses requests that name another host than ours, pages of other origins that
// try to connect or to change something, and, when it listens beyond this machine,
// changes without the bench key.
package webui
