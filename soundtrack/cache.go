package soundtrack

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"lampblack/source"
)

// cacheForm changes whenever a heard, or how one is made, does. The judging
// network's weights are in the name as well.
const cacheForm = "1"

// A kept file is cacheHead, the gob of a heard, and the SHA-256 of both.
const cacheHead = "lampblack heard\n"

var errNotKept = errors.New("not kept")

// cacheName names what was heard in a file of this content.
func cacheName(dir, hash string) string {
	judge := sha256.Sum256(builtInBytes)
	return filepath.Join(dir, hash[:32]+"-"+cacheForm+hex.EncodeToString(judge[:3])+".heard")
}

// contentHash returns the SHA-256 of a file's bytes in hex.
func contentHash(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("listen: %w", err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("listen: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// keep writes h whole or not at all.
func keep(name string, h *heard) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fmt.Errorf("keep what was heard: %w", err)
	}
	var b bytes.Buffer
	b.WriteString(cacheHead)
	if err := gob.NewEncoder(&b).Encode(h); err != nil {
		return fmt.Errorf("keep what was heard: %w", err)
	}
	sum := sha256.Sum256(b.Bytes())
	b.Write(sum[:])
	return source.WriteFile(name, b.Bytes())
}

// kept reads what keep wrote. Whatever else lies there, cut short, altered or
// of another make, is as good as nothing.
func kept(name string) (*heard, error) {
	b, err := os.ReadFile(name)
	if err != nil || len(b) < len(cacheHead)+sha256.Size {
		return nil, errNotKept
	}
	body, sum := b[:len(b)-sha256.Size], b[len(b)-sha256.Size:]
	if is := sha256.Sum256(body); !bytes.Equal(is[:], sum) || string(body[:len(cacheHead)]) != cacheHead {
		return nil, errNotKept
	}
	h := &heard{}
	if err := gob.NewDecoder(bytes.NewReader(body[len(cacheHead):])).Decode(h); err != nil {
		return nil, errNotKept
	}
	return h, nil
}
