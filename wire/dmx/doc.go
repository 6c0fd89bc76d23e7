// Package dmx holds the framing of ANSI E1.11, "USITT DMX512-A", on a serial
// line, and the message by which most USB interfaces take a packet from a
// computer instead. [Packet.Append] gives the octets of a packet for a port that is
// at [Baud], [Packet.Line] the levels that then stand on the line, [AppendSend] the
// message for an interface.
//
// A packet on the line:
//
//	       ┌─MAB─┐   ┌──────────────── slots, 44 us each ──
//	─┐break│     │   │
//	 └─────┘     └S01234567SS┘  slot 0, the START code, then 1 to 512
//
// The line is asynchronous at 250 kbit/s: a bit is 4 us, a slot is a start bit
// (low), eight data bits with the least significant first, and two stop bits
// (high). A packet begins with a break (low) and a mark after break (high):
//
//	                  a transmitter sends    a receiver takes
//	break             92 us or more          88 us or more
//	mark after break  12 us to 1 s           8 us to 1 s
//	break to break    1204 us to 1 s         1196 us to 1.25 s
//
// so a packet of n slots takes break + mark + 44 us (n + 1): 22.676 ms, 44.1
// packets a second, for 512.
//
// The widget message (common practice of USB interfaces, no standard):
//
//	0  1  0x7E
//	1  1  label: what the message is
//	2  2  length of the data, little-endian, 0 to 600
//	4  n  data; of a packet to send: the START code and the slots
//	   1  0xE7
//
// Times come from two independent restatements of the standard that agree; the
// widget message's labels are from memory.
package dmx
