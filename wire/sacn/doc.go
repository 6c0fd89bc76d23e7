// Package sacn holds the packets of ANSI E1.31-2018, "Lightweight streaming
// protocol for transport of DMX512 using ACN": data, synchronization and
// universe discovery, and the rules by which a receiver takes them. Fill a [Data]
// and call [Data.Append]; for the frames that follow [SetSequence] and the slots
// alone change. [ParseData] reads a packet, a [Receiver] decides whose levels count.
//
// All fields are big-endian (clause 4.1). Every packet begins with the same
// root layer (clause 5):
//
//	 0   2  preamble size      0x0010
//	 2   2  post-amble size    0x0000
//	 4  12  packet identifier  "ASC-E1.17" and three NUL
//	16   2  flags and length   0x7000 | octets from here to the end
//	18   4  vector             4 data, 8 extended
//	22  16  CID                UUID of the sending component
//
// A data packet (clauses 6.2 and 7; 126 to 638 octets) goes on with
//
//	 38   2  flags and length   0x7000 | octets from here to the end
//	 40   4  vector             2
//	 44  64  source name        UTF-8, at least one NUL, padded with NUL
//	108   1  priority           0 to 200, 100 unless set
//	109   2  synchronization address, 0 for none
//	111   1  sequence number    one more than the last, per universe
//	112   1  options            bit 7 preview, 6 terminated, 5 force synchronization
//	113   2  universe           1 to 63999
//	115   2  flags and length   0x7000 | octets from here to the end
//	117   1  vector             2
//	118   1  address and data type  0xA1
//	119   2  first property address 0
//	121   2  address increment      1
//	123   2  property value count   1 + number of slots
//	125   1  START code
//	126   n  slots              0 to 512, the slot at address 1 first
//
// a synchronization packet (clause 6.3; 49 octets) with
//
//	38   2  flags and length   0x700B
//	40   4  vector             1
//	44   1  sequence number
//	45   2  synchronization address, never 0
//	47   2  reserved           0
//
// and a universe discovery packet (clauses 6.4 and 8; 120 to 1144 octets) with
//
//	 38   2  flags and length
//	 40   4  vector             2
//	 44  64  source name
//	108   4  reserved           0
//	112   2  flags and length   0x7000 | octets from here to the end
//	114   4  vector             1
//	118   1  page               0 to last
//	119   1  last page
//	120  2n  universes          0 to 512, ascending
//
// The decoders accept only what the encoders write: whatever decodes encodes
// to the same octets. They are stricter here than a receiver must be in two
// places: octets after the NUL of a source name, and option bits 4 to 0, must
// be zero.
//
// Values and offsets were compared with restatements of the standard and with
// tshark; the numbers of single sub-clauses are from memory.
package sacn
