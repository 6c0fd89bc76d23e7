// Package output sends frames out by any wire: [Open] what a line describes, put
// a [Mailbox] before it, and Send each instant's frames. The wires are ANSI E1.31
// and Art-Net on a network, DMX512 on a serial line or through a widget, and a
// capture file, which [OpenCapture] reads.
//
// An output is described by one line, as it stands in a show's file or after
// "run --outputs":
//
//	e131 multicast                      every universe to its own group
//	e131 multicast ipv6 interface eth0
//	e131 192.168.1.20 priority 120      one receiver
//	artnet nodes                        those nodes that ask for a universe
//	artnet 192.168.1.30                 one node
//	serial /dev/ttyUSB0 universes 2     a bare RS-485 converter
//	widget /dev/ttyUSB0                 an interface that takes framed messages
//	file "first night.frames"           a capture
//
// The grammar, words apart by spaces, a path with spaces in double quotes:
//
//	line   = kind place { option }
//	kind   = "e131" | "artnet" | "serial" | "widget" | "file"
//	place  = "multicast" (e131) | "nodes" (artnet) | an IP address | a device | a path
//	option = "universes" list       which of the show's universes go out: 1-3,7
//	       | "map" pairs            renumber them on the wire: 1:4,2-3:8-9
//	       | "rate" number          at most so many frames a second
//	       | "interface" name       network interface to send from (e131, artnet)
//	       | "port" number          UDP port instead of the standard's (e131, artnet)
//	       | "priority" number      0 to 200, 100 if left out (e131)
//	       | "sync" universe        synchronization address (e131)
//	       | "sync"                 send ArtSync (artnet)
//	       | "preview"              not for live output (e131)
//	       | "ipv6"                 the IPv6 groups (e131 multicast)
//	       | "baud" number          speed of the device (widget)
//	       | "break" "signal"|"byte"  how the device makes a break: by its break
//	                                signal, or, where its driver has none, by a
//	                                zero octet at a lower speed (serial)
//
// A serial line and a widget carry one universe: the first of "universes", or
// universe 1. Every option may stand once, in any order.
//
// Sinks keep their receivers' view alive by themselves: still universes are
// repeated as the wire's standard asks, whether Send is called or not.
package output
