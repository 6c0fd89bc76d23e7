package folder

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"errors"
	"fmt"
)

// ErrNotKept is that a file is not whole, or not of the form that is asked for.
var ErrNotKept = errors.New("not kept")

// EncodeKept is the bytes of a file in which the program keeps what it worked out: head, which
// names the form, the gob of a value, and the SHA-256 of both.
func EncodeKept(head string, v any) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(head)
	if err := gob.NewEncoder(&b).Encode(v); err != nil {
		return nil, fmt.Errorf("keep what was worked out: %w", err)
	}
	sum := sha256.Sum256(b.Bytes())
	return append(b.Bytes(), sum[:]...), nil
}

// DecodeKept reads into v what EncodeKept wrote. Whatever else it is given, cut short, altered
// or of another make, is as good as nothing: ErrNotKept. It may have come from anybody, so v
// is still to be held against what it should be.
func DecodeKept(head string, data []byte, v any) error {
	body, ok := bytes.CutPrefix(data, []byte(head))
	if !ok || len(body) < sha256.Size {
		return ErrNotKept
	}
	end := len(data) - sha256.Size
	if is := sha256.Sum256(data[:end]); !bytes.Equal(is[:], data[end:]) {
		return ErrNotKept
	}
	if err := gob.NewDecoder(bytes.NewReader(data[len(head):end])).Decode(v); err != nil {
		return ErrNotKept
	}
	return nil
}
