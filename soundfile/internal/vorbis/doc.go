// Package vorbis decodes the packets of a Vorbis I stream to float32 samples:
// [NewDecoder] takes the two header packets that matter, [Decoder.Decode] each
// packet of sound after them. "Vorbis I specification", Xiph.Org Foundation, 2020;
// section numbers in comments are those of that document.
//
// Three header packets set up the decoder: identification (channels, rate, the two
// block sizes), comment (tags, which the caller passes over) and setup: codebooks,
// and what uses them. An audio packet is, for each channel, a smooth curve over
// frequency (the floor) and what it leaves (the residue, coded as vectors); their
// product goes through an inverse cosine transform, a window, and overlaps with
// the packet before:
//
//	bits ──┬─ floor   ───────────────────────────┐
//	       └─ residue ── uncouple the channels ──┴─ × ── transform ── window ── overlap
//
// Every number is packed from the lowest bit of a byte up, over the bounds of
// bytes, and may be of any width. Nothing in a packet says how long it is: whoever
// reads past its end gets zeros and is told by over, and a packet that is cut short
// is legal and means zeros from there on (4.3.2, 8.6.2).
//
// Floors of type 0, which no encoder has made since 2000 (from memory), are refused.
// The package reads no pages and no tags and follows no chain of streams: that is
// for the callers, packages ogg and soundfile.
//
// Why it is written by hand and not a public module: it is right for more than two
// channels, and 1.6 times as fast (docs/decisions/decoders.md). To measure it again:
//
//	go test -C tools ./decoders -bench . -benchtime 3x -cpu 1
package vorbis
