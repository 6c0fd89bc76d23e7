package soundfile

import (
	"fmt"

	"lampblack/soundfile/internal/flac"
	"lampblack/soundfile/internal/ogg"
)

func openFLAC(src *source) (Stream, error) {
	info, err := flac.ReadInfo(src, src.skip)
	if err != nil {
		return nil, err
	}
	return newStream(flacFormat(info), &flacDecoder{Decoder: flac.NewDecoder(src, info)})
}

func flacFormat(info flac.Info) Format {
	f := Format{Codec: "flac", Rate: info.Rate, Channels: info.Channels, Bits: info.Bits, Frames: info.Total}
	// 0 in the header means that the encoder did not know, as when it wrote to a pipe.
	if info.Total == 0 {
		f.Frames = -1
	}
	return f
}

// flacDecoder fits package flac's decoder to a stream; both have the same idea of a block.
type flacDecoder struct {
	*flac.Decoder
	pages *ogg.Reader // nil when bare
}

func (d *flacDecoder) next() ([]float32, error) { return d.Next() }

// remarks tells what was wrong with the file and yet did not keep it from being read.
func (d *flacDecoder) remarks() []string {
	var out []string
	if n := d.Lost(); n > 0 {
		out = append(out, fmt.Sprintf("%d samples are damaged and silent", n))
	}
	if d.Cut() {
		out = append(out, "the file ends within a frame")
	}
	if d.pages != nil && d.pages.Skipped() > 0 {
		out = append(out, fmt.Sprintf("%d bytes that are no whole page were passed over", d.pages.Skipped()))
	}
	return out
}

func (d *flacDecoder) close() error { return nil }
