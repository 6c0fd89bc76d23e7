// Package vorbis decodes the packets of a Vorbis I stream to float32 samples:
// "Vorbis I specification", Xiph.Org Foundation, 2020; section numbers in
// comments are those of that document.
//
// Three header packets set up the decoder: codebooks, and what uses them. An
// audio packet is, for each channel, a smooth curve over frequency (the floor)
// and what it leaves (the residue, coded as vectors); their product goes through
// an inverse cosine transform, a window, and overlaps with the packet before.
// Floors of type 0, which no encoder has made since 2000, are refused.
package vorbis
