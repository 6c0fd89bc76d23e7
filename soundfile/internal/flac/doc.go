// Package flac decodes the Free Lossless Audio Codec as RFC 9639 describes it;
// section numbers in comments are those of that document.
//
// A stream is the marker "fLaC", metadata blocks of which the first describes
// the sound, and frames. A frame stands alone: it tells its place in the stream,
// so that a decoder which loses one knows how long the hole is.
package flac
