// Package mp3 decodes MPEG-1, MPEG-2 and MPEG-2.5 audio layer III to float32
// samples: [NewScanner] finds the frames of a file, [ParseTag] reads what its first
// frame may tell about it, [NewDecoder] and [Decoder.Next] make the sound. ISO/IEC
// 11172-3:1993, ISO/IEC 13818-3:1998, and for the rates of 8 to 12 kHz the extension
// that its authors called MPEG-2.5.
//
// # The way of a frame
//
//	bytes ─Scanner─▶ frame ─reservoir─▶ side info + main data
//	      ─spectrum─▶ 576 lines a granule and channel   (Huffman, scale, stereo)
//	      ─hybrid───▶ 18 samples in each of 32 subbands (alias, IMDCT, overlap)
//	      ─synthesis▶ 576 samples                       (polyphase)
//
// A granule is 576 samples; a frame holds two in MPEG-1, one otherwise. What a frame
// needs to be decoded, its main data, may begin up to 511 bytes earlier in the stream
// than the frame itself:
//
//	│header│side info│ main data of 3 │header│side info│ 3, cont. │ main data of 4 …
//	 frame 2                           frame 3  └─ begin: so many bytes back
//
// so that a frame after a cut in the file may be lost though it is whole.
//
// Only this reservoir and the two small memories of the last two steps tie one
// frame to the next. So frames are decoded in batches: the spectra of a batch in
// any order on all cores, then runs of granules of one channel, each run begun
// two granules early to rebuild its memory. The samples are the same, bit for
// bit, on any number of cores.
//
// Clauses of 11172-3 are given as they are numbered there ("2.4.3.4"). Layers I and
// II are refused; check words of frames are not compared. Why it is written by hand
// and not a public module: it puts the sound in its right place, and is 6.5 times as
// fast (docs/decisions/decoders.md). To measure it again:
//
//	go test -C tools ./decoders -bench . -benchtime 3x -cpu 1
package mp3
