// Package rdm holds the packets of ANSI E1.20, remote device management over DMX512: a
// controller asks one lamp on a data line at a time, and that lamp answers on the same two
// wires. Fill a [Packet] and call [Packet.Append]; [Parse] reads what comes back. Who is
// there at all is found by asking ranges of identifiers for a [DiscoveryReply].
//
// A packet on the line (clause 6.2):
//
//	 0  1  START code 0xCC
//	 1  1  sub START code 0x01
//	 2  1  message length: octets 0 to the last of the data, 24 to 255
//	 3  6  destination UID
//	 9  6  source UID
//	15  1  transaction number
//	16  1  port ID, 1 to 255, of a request; response type, 0 to 3, of a response
//	17  1  message count: how many messages wait in the responder
//	18  2  sub-device: 0 the device itself, 1 to 512, 0xFFFF all
//	20  1  command class
//	21  2  parameter ID (PID)
//	23  1  length of the data, 0 to 231
//	24  n  data
//	    2  checksum: the sum of all octets before it, modulo 65 536
//
// All numbers are big-endian. The reply to a question about a range of identifiers is no
// such packet, because many may answer at once (clause 7.5.1):
//
//	0  7  preamble 0xFE, of which splitters may eat some
//	7  1  separator 0xAA
//	8 12  UID: each octet v as v or 0xAA, then v or 0x55
//	20 4  checksum of the twelve octets, written the same way
//
// Clauses, numbers and tables are those of ANSI E1.20-2010, from memory; tshark reads our
// packets as they are meant (outside_test.go).
package rdm
