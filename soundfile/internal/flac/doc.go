// Package flac decodes the Free Lossless Audio Codec as RFC 9639 describes it:
// [ReadInfo] passes the header, [NewDecoder] takes what follows it, and
// [Decoder.Next] returns the sound frame by frame. Section numbers in comments are
// those of that document.
//
// A stream is the marker "fLaC", metadata blocks of which the first describes
// the sound, and frames. A frame stands alone: it tells its place in the stream,
// so that a decoder which loses one knows how long the hole is.
//
//	frame    │ header, crc8 │ subframe of channel 0 │ … of channel n │ pad │ crc16 │
//	subframe │ kind, wasted bits │ first samples │ coefficients │ residual │
//
// Each channel is predicted from its own samples before (by a constant, a fixed
// polynomial, or coefficients that come along), and what the prediction missed, the
// residual, is coded in Rice codes. All of it is whole numbers: the result is exact.
//
// Damage is passed over: a frame counts only if both check sums are right, and what
// was lost is given as silence of the right length, so that all behind it stays in
// time. The check sum over the whole sound in STREAMINFO is not compared.
//
// Why it is written by hand and not a public module: it is 2.8 times as fast and reads
// past damage (docs/decisions/decoders.md). To measure it again:
//
//	go test -C tools ./decoders -bench . -benchtime 3x -cpu 1
package flac
