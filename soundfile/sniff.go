package soundfile

import "strings"

// sniff tells by its content how to open a file. The order matters: marks that are sure
// come first, the search for a frame of layer III last, since it finds one in much.
func sniff(src *source) func(*source) (Stream, error) {
	head := string(src.peek(16))
	// So that a file of a few bytes needs no care below.
	if len(head) < 16 {
		head += strings.Repeat("\x00", 16-len(head))
	}
	switch {
	case isRIFF(head[:4]) && head[8:12] == "WAVE":
		return openWAV
	case head[:4] == "fLaC":
		return openFLAC
	case head[:4] == "OggS":
		return openOgg
	case isOther(head):
		return openUnknown
	}
	if end, ok := behindTag(src); ok {
		return func(src *source) (Stream, error) {
			if err := src.seek(end); err != nil {
				return nil, err
			}
			return openFLAC(src)
		}
	}
	return openMP3 // which looks for a frame and refuses the rest
}

// behindTag finds FLAC behind an ID3v2 tag, which some taggers put there.
func behindTag(src *source) (at int64, ok bool) {
	b := src.peek(10)
	if len(b) < 10 || string(b[:3]) != "ID3" || b[6]|b[7]|b[8]|b[9] >= 0x80 {
		return 0, false
	}
	at = 10 + int64(b[6])<<21 + int64(b[7])<<14 + int64(b[8])<<7 + int64(b[9])
	if at > src.size || src.seek(at) != nil {
		return 0, false
	}
	ok = string(src.peek(4)) == "fLaC"
	return at, src.seek(0) == nil && ok
}

func isRIFF(magic string) bool {
	return magic == "RIFF" || magic == "RF64" || magic == "BW64"
}

// isOther knows containers in which a frame of layer III might be found by
// chance, or whose sound is of another kind.
func isOther(head string) bool {
	if head[4:8] == "ftyp" || isRIFF(head[:4]) {
		return true
	}
	for _, magic := range []string{
		"FORM", "caff", "RIFX", "riff", "\x1aE\xdf\xa3", "\x30\x26\xb2\x75", "wvpk", "MAC ", "#!AMR", ".snd", "MThd", "\x00\x00\x01\xba", "FLV",
	} {
		if strings.HasPrefix(head, magic) {
			return true
		}
	}
	return false
}

func openUnknown(*source) (Stream, error) { return nil, errNotOurs }
