package output

import (
	"errors"
	"io/fs"
	"net"
	"syscall"
)

// reason is what an error of the system means to the person at the computer.
type reason struct {
	of    []error
	cause Cause
	hint  string
}

// reasons are looked through from the first. What errors mean is from connect(2), send(2),
// ip(7) and write(2) of the Linux manual pages; other systems' names for the same are in
// alsoCalled.
var reasons = []reason{
	{[]error{syscall.ENOSPC, syscall.EDQUOT}, Full, "make room on that disk; the show goes on, and what is recorded ends here"},
	{[]error{syscall.EROFS}, Full, "that disk takes no writing: use another folder; the show goes on"},
	{[]error{fs.ErrNotExist, syscall.ENXIO, syscall.ENODEV}, Gone, "plug it in again, the same socket if you can; it is taken up by itself"},
	{[]error{fs.ErrPermission}, Failed, "this user may not use it: a firewall, or the rights of the device"},
	{[]error{syscall.ENETUNREACH, syscall.EADDRNOTAVAIL, syscall.ENETDOWN}, NoWay, "is the cable in, the network on, and has this computer an address in the lamps' network? it goes on by itself"},
	{[]error{syscall.EHOSTUNREACH, syscall.EHOSTDOWN}, NoWay, "is the receiver powered, is its cable in, and is its address right? it goes on by itself"},
	{[]error{syscall.ECONNREFUSED}, Refused, "the receiver is there, but takes nothing of this kind: switch its input to this protocol, or start its program"},
	{[]error{syscall.ENOBUFS, syscall.EAGAIN}, Slow, "the network takes no more: use a cable instead of radio, or send fewer universes by it"},
	{[]error{net.ErrClosed, fs.ErrClosed, syscall.EIO, syscall.EPIPE}, Gone, "plug it in again, the same socket if you can; it is taken up by itself"},
}

// reasonOf is what to do about a cause.
func reasonOf(c Cause) string {
	for _, r := range reasons {
		if r.cause == c {
			return r.hint
		}
	}
	return ""
}

// faultOf is the fault that an error of sending is.
func faultOf(err error) Fault {
	f := Fault{Cause: Failed, Degree: Wholly, Text: err.Error(), Hint: "it is tried again by itself; look at its plug, its power and its network"}
	for _, r := range reasons {
		for _, e := range r.of {
			if errors.Is(err, e) || errors.Is(err, alsoCalled(e)) {
				f.Cause, f.Hint = r.cause, r.hint
				return f
			}
		}
	}
	return f
}
