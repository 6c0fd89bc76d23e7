// Package device opens devices and pipes so that none of them holds a show up:
// [Open] opens one, and [Keep] keeps it in use, looking for it again when it has gone
// away.
package device
