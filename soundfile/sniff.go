package soundfile

// kind is one way of reading a file.
type kind struct {
	open func(*source) (Stream, error)
}

// sniff tells what a file is by its content. ID3v2 tags, which taggers put in
// front of anything, are passed over first.
func sniff(src *source) (kind, error) {
	head := src.peek(12)
	switch {
	case len(head) >= 12 && string(head[8:12]) == "WAVE" && isRIFF(string(head[:4])):
		return kind{openWAV}, nil
	}
	if string(src.peek(4)) == "fLaC" {
		return kind{openFLAC}, nil
	}
	if string(src.peek(4)) == "OggS" {
		return kind{openOgg}, nil
	}
	if _, _, ok := findMP3(src); ok {
		return kind{openMP3}, nil
	}
	return kind{openUnknown}, nil
}

func isRIFF(magic string) bool {
	return magic == "RIFF" || magic == "RF64" || magic == "BW64"
}

func openUnknown(*source) (Stream, error) { return nil, errNotOurs }
