package soundtrack

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"lampblack/folder"
)

// cacheForm changes whenever a heard, or how one is made, does. The judging
// network's weights are in the name as well.
const cacheForm = "1"

// A kept file is cacheHead, the gob of a heard, and the SHA-256 of both.
const cacheHead = "lampblack heard\n"

// mostKept bounds a kept file: ten hours of sound give less.
const mostKept = 1 << 30

var errNotKept = errors.New("not kept")

// cacheName names what was heard in a file of this content.
func cacheName(dir, hash string) string {
	judge := sha256.Sum256(builtInBytes)
	return filepath.Join(dir, hash[:32]+"-"+cacheForm+hex.EncodeToString(judge[:3])+".heard")
}

// contentHash returns the SHA-256 of a file's bytes in hex.
func contentHash(ctx context.Context, path string) (string, error) {
	f, err := folder.OpenFile(ctx, path, folder.MaxSound)
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
func keep(ctx context.Context, name string, h *heard) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fmt.Errorf("keep what was heard: %w", err)
	}
	data, err := encode(h)
	if err != nil {
		return err
	}
	return folder.WriteFile(ctx, name, data)
}

// encode is the bytes of a kept file.
func encode(h *heard) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(cacheHead)
	if err := gob.NewEncoder(&b).Encode(h); err != nil {
		return nil, fmt.Errorf("keep what was heard: %w", err)
	}
	sum := sha256.Sum256(b.Bytes())
	b.Write(sum[:])
	return b.Bytes(), nil
}

// kept reads what keep wrote. Whatever else lies there, cut short, altered or
// of another make, is as good as nothing. It may have come from anybody, with a show from
// elsewhere.
func kept(ctx context.Context, name string) (*heard, error) {
	b, err := folder.ReadFile(ctx, name, mostKept)
	if err != nil || len(b) < len(cacheHead)+sha256.Size {
		return nil, errNotKept
	}
	body, sum := b[:len(b)-sha256.Size], b[len(b)-sha256.Size:]
	if is := sha256.Sum256(body); !bytes.Equal(is[:], sum) || string(body[:len(cacheHead)]) != cacheHead {
		return nil, errNotKept
	}
	h := &heard{}
	if err := gob.NewDecoder(bytes.NewReader(body[len(cacheHead):])).Decode(h); err != nil || !h.sane() {
		return nil, errNotKept
	}
	return h, nil
}
