package soundtrack

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"lampblack/folder"
)

// cacheForm changes whenever a heard, or how one is made, does. The judging
// network's weights are in the name as well.
const cacheForm = "3"

// cacheHead begins the file of a heard.
const cacheHead = "lampblack heard\n"

// mostKept bounds a kept file: ten hours of sound give less.
const mostKept = 1 << 30

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
func encode(h *heard) ([]byte, error) { return folder.EncodeKept(cacheHead, h) }

// kept reads what keep wrote. It may have come from anybody, with a show from elsewhere.
func kept(ctx context.Context, name string) (*heard, error) {
	b, err := folder.ReadFile(ctx, name, mostKept)
	if err != nil {
		return nil, folder.ErrNotKept
	}
	h := &heard{}
	if err := folder.DecodeKept(cacheHead, b, h); err != nil || !h.sane() {
		return nil, folder.ErrNotKept
	}
	return h, nil
}
