// Package web serves the book of a show to a browser on the same machine: [New]
// makes a server of a show, [Server.Handler] answers, [Server.SetPlayhead] tells
// open pages where a run is.
//
// The pages read everything from a few kinds of answer, all under /api:
//
//	GET  show       the show in short: its cues and looks by name and time
//	GET  span       what stands beside some seconds: sound, moments, cues, findings
//	GET  looks, findings, rig, shape   what one page alone wants
//	GET  light      one ribbon of computed light per system, as bytes
//	GET  room       the light on every patch of the room at one instant
//	GET  readings   the same as means over surfaces and objects, and at eyes
//	GET  events     server-sent events: the playhead, and "show" when it changed
//	GET  doors      the round before doors; POST doors/… asks, tries and ticks
//	POST control/…  hold, go, back, lights-up, alarm-reset, seek and others: only when a run is attached
//
// Drawings that other papers share come as SVG from package plate, under
// /plate.
//
// The shapes of the answers are Go structs in package page; ui/api.ts is
// written from them, and the built pages in ui/built are embedded, so that
// running needs neither Node nor a network.
//
// A local server is still a server. It answers only to the loopback names,
// refuses writes that come from another origin, changes nothing on GET, sends
// a strict content security policy, and refers to nothing outside itself. The
// caller binds it to 127.0.0.1. It does not see who sits at this machine:
// whoever does may steer a run that is attached.
package web
