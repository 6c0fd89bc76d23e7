// Package artnet holds packets of the published protocol Art-Net 4: ArtDmx, ArtSync,
// ArtPoll and ArtPollReply, and those that carry RDM: ArtTodRequest, ArtTodData,
// ArtTodControl and ArtRdm. Fill a [Dmx] and call [Dmx.Append],
// once for each universe and frame, with the sequence that [Next] gives; [ParseDmx]
// reads it again, and [ParsePollReply] says which universes a node puts out.
//
// Art-Net™ Designed by and Copyright Artistic Licence.
//
// Every packet goes by UDP to port 6454 and begins with
//
//	 0  8  "Art-Net" and NUL
//	 8  2  OpCode, little-endian: 2000 poll, 2100 poll reply, 5000 Dmx, 5200 sync,
//	      8000 tod request, 8100 tod data, 8200 tod control, 8300 Rdm
//	10  2  ProtVer, big-endian: 14 (a poll reply has none)
//
// ArtDmx goes on with
//
//	12  1  Sequence   1 to 255, then 1 again; 0 switches the order check off
//	13  1  Physical   input port, information only
//	14  2  Port-Address, low octet first: bits 14-8 net, 7-4 sub-net, 3-0 universe
//	16  2  Length     big-endian, even, 2 to 512
//	18  n  slots      no START code
//
// ArtSync with two octets of 0, ArtPoll with flags and the lowest priority of
// diagnostics wanted (the newer form adds a range of Port-Addresses and two
// makers' codes), ArtPollReply with the description of a node; its offsets
// stand beside its fields.
//
// A node keeps a table of the devices that RDM found on each of its lines (ToD): it is
// asked for by ArtTodRequest, comes in one or several ArtTodData, and is made anew after
// ArtTodControl. ArtRdm carries one packet of RDM to a device and back, without its START
// code. Offsets of these stand beside their fields.
//
// Port-Address 0 is deprecated in Art-Net 4: count from 1, so that Port-Address
// 1 and E1.31 universe 1 are the same.
//
// ArtDmx and ArtSync decode strictly: what decodes encodes to the same octets.
// Polls and replies come from many makers and revisions, so they are read as
// the protocol asks (missing octets are 0, octets after a NUL are nothing) and
// written in one form. Offsets were compared with transcriptions of the
// protocol's text and with tshark.
package artnet
