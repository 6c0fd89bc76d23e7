// Package osc holds the packets of Open Sound Control 1.0: fill a [Message] or a [Bundle]
// and call its Append; [Parse] reads either.
//
// Everything is big-endian and takes a multiple of four octets. A string is
// its octets, a NUL, and NUL up to the next multiple of four; a blob is its
// length (int32), its octets, and NUL likewise.
//
// A packet is a message or a bundle. A message is
//
//	address  string that begins with "/"
//	types    string that begins with ",", one letter an argument
//	arguments
//
// and a bundle
//
//	"#bundle" and NUL
//	time     8 octets, NTP: seconds since 1900 and a fraction of 2^-32; 1 is "at once"
//	{ size   int32, a multiple of four
//	  packet }
//
// Arguments in Go and their type letters: int32 i, float32 f, string s,
// []byte b, and of the standard's optional types int64 h, Time t, float64 d,
// bool T or F, nil N, Impulse I. Others are refused.
//
// The decoder accepts only what the encoder writes: what decodes encodes to
// the same octets.
package osc
