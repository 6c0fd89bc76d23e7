package soundfile

import (
	"fmt"

	"lampblack/soundfile/internal/mp3"
)

// mp3Garbage is how many bytes in front of the first frame may be no sound, tags
// not counted. It bounds the search through a file that is something else.
const mp3Garbage = 1 << 20

// findMP3 looks for the first frame of layer III and leaves src where it was.
func findMP3(src *source) (h mp3.Header, offset int64, ok bool) {
	start := src.pos
	h, offset, ok = mp3.NewScanner(src).Sync(mp3Garbage)
	if err := src.seek(start); err != nil {
		return h, 0, false
	}
	return h, start + offset, ok
}

// openMP3 opens a file in which a frame can be found. Its first frame may be no sound but
// a tag that tells how long the sound is and what to cut of it; see [mp3.ParseTag].
//
//	| tags, pictures | tag frame | delay | sound ...          | padding | tags |
//	                             |<- skip|<- limit ---------->|
func openMP3(src *source) (Stream, error) {
	h, first, ok := findMP3(src)
	if !ok {
		return nil, errNotOurs
	}
	if err := src.seek(first); err != nil {
		return nil, err
	}
	scan := mp3.NewScanner(src)
	d := &mp3Decoder{scan: scan, channels: h.Channels, limit: -1}
	head, frame, err := scan.Next()
	if err != nil {
		return nil, fmt.Errorf("mp3: no whole frame: %w", err)
	}
	tag, tagged := mp3.ParseTag(head, frame)
	if !tagged {
		// The first frame is sound: start again in front of it.
		if err := src.seek(first); err != nil {
			return nil, err
		}
		d.scan = mp3.NewScanner(src)
	}
	d.dec = mp3.NewDecoder(d.scan, h.Channels)
	if tagged {
		if err := d.trim(src, first, h, tag); err != nil {
			return nil, err
		}
	}
	return newStream(Format{Codec: "mp3", Rate: h.Rate, Channels: h.Channels, Frames: d.limit}, d)
}

// mp3Decoder cuts the encoder's delay and padding off what a Decoder yields.
type mp3Decoder struct {
	scan     *mp3.Scanner
	dec      *mp3.Decoder
	channels int
	skip     int64 // frames of sound still to be cut in front
	limit    int64 // frames of sound in all; -1 when the end tells
	made     int64 // of limit
	note     []string
}

// trim sets what is cut. The tag's frame count is believed where its byte count
// fits the file: behind a joint of two files, or in a cut one, it is not.
func (d *mp3Decoder) trim(src *source, first int64, h mp3.Header, tag mp3.Tag) error {
	if tag.Trimmed {
		d.skip = int64(tag.Delay + mp3.DecoderDelay)
	}
	if tag.Frames == 0 {
		return nil
	}
	if tag.Bytes > 0 {
		end := first + tag.Bytes
		if src.size >= 0 && end > src.size {
			d.note = append(d.note, fmt.Sprintf("the file is cut: its tag declares %d bytes of sound, %d are there", tag.Bytes, src.size-first))
			return nil
		}
		more, err := frameAt(src, end, h)
		if err != nil {
			return err
		}
		if more {
			d.note = append(d.note, "more sound follows than the file's tag declares: the files were joined")
			return nil
		}
	}
	// Frames of layer III hold 1152 or 576 samples; the tag's own frame is not counted.
	total := tag.Frames * int64(h.Samples())
	if tag.Trimmed {
		total -= int64(tag.Delay + tag.Padding)
	}
	d.limit = max(total, 0)
	return nil
}

// frameAt tells whether a frame like h begins at pos, and goes back.
func frameAt(src *source, pos int64, h mp3.Header) (bool, error) {
	back := src.pos
	if err := src.seek(pos); err != nil {
		return false, err
	}
	next, ok := mp3.ParseHeader(src.peek(4))
	return ok && next.Rate == h.Rate && next.Version == h.Version, src.seek(back)
}

// next cuts the delay, of which the first block may be all, and what lies behind limit.
func (d *mp3Decoder) next() ([]float32, error) {
	block, err := d.dec.Next()
	if err != nil {
		return nil, err
	}
	n := int64(len(block) / d.channels)
	cut := min(d.skip, n)
	d.skip -= cut
	block = block[cut*int64(d.channels):]
	if d.limit >= 0 { // the padding goes without a word
		n = min(n-cut, d.limit-d.made)
		block = block[:n*int64(d.channels)]
		d.made += n
	}
	return block, nil
}

func (d *mp3Decoder) remarks() []string {
	out := append([]string(nil), d.note...)
	if n := d.scan.Skipped(); n > 0 {
		out = append(out, fmt.Sprintf("%d bytes that are no sound were passed over", n))
	}
	if d.scan.Cut() {
		out = append(out, "the file ends within a frame")
	}
	if n := d.dec.Lost(); n > 0 {
		out = append(out, fmt.Sprintf("%d frames lean on data that is not there and are silent", n))
	}
	return out
}

func (d *mp3Decoder) close() error { return nil }
