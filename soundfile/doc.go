// Package soundfile turns audio files into streams of float32 samples, exact in
// time: the sample that an encoder was given as number n comes out as number n.
// [OpenFile] opens a file by its content, [Stream] yields it, [Notes] tells afterwards
// what was wrong with it; [Mono], [NewResampler] and [WriteWAV] bring it to one channel,
// to another rate, and into a file again.
//
// # Model
//
// A [Stream] is a run of frames. A frame is one sample of each channel at one
// instant; samples are interleaved, full scale is ±1, and nothing is clipped, so
// that the peaks above 1 of the lossy codecs stay what they are. Multi-channel
// files keep the channel order of WAV (front left, front right, centre, low
// frequency, back left, back right …) whatever order their codec uses.
//
//	file ─source─▶ sniff ─▶ decoder of one kind ─next─▶ pcm: the Stream
//	               by content   blocks of any length     Read of any length
//
// # What is read
//
// The content decides; the name never does.
//
//   - WAV (RIFF, RF64, BW64): 8 to 32-bit integers, 32 and 64-bit floats, A-law
//     and µ-law, the extensible header, sizes that are unknown or untrue.
//   - FLAC, bare or in Ogg. A damaged frame becomes silence of its own length.
//   - MPEG-1, 2 and 2.5 layer III ("MP3"). The encoder's delay and padding are
//     cut as the Xing/Info tag tells; without a tag nothing is cut, because
//     nothing is known.
//   - Ogg Vorbis and Ogg Opus, chained too, cut by pre-skip and granule position.
//   - Anything else by way of the program ffmpeg, when it is installed.
//
// # What is promised about bad files
//
// A header's word is never believed where it costs memory: buffers grow with
// bytes that are there. A file that stops early gives the sound that it holds,
// and [Notes] says what was wrong. Samples that are no numbers, or whose size
// passes 1e6 (120 dB over full scale, which no honest file holds), come out as
// zero, because one of them would spoil every filter behind. A decoder that
// panics is our bug or a library's: the caller gets an error.
package soundfile
