// Package mp3 decodes MPEG-1, MPEG-2 and MPEG-2.5 audio layer III to float32
// samples: ISO/IEC 11172-3:1993, ISO/IEC 13818-3:1998, and for the rates of
// 8 to 12 kHz the extension that its authors called MPEG-2.5.
//
// # The way of a frame
//
//	bytes ─Scanner─▶ frame ─reservoir─▶ side info + main data
//	      ─spectrum─▶ 576 lines a granule and channel   (Huffman, scale, stereo)
//	      ─hybrid───▶ 18 samples in each of 32 subbands (alias, IMDCT, overlap)
//	      ─synthesis▶ 576 samples                       (polyphase)
//
// Only the first step and the two small memories of the last two steps tie one
// frame to the next. So frames are decoded in batches: the spectra of a batch in
// any order on all cores, then runs of granules of one channel, each run begun
// two granules early to rebuild its memory. The samples are the same, bit for
// bit, on any number of cores.
//
// Clauses of 11172-3 are given as they are numbered there ("2.4.3.4").
package mp3
