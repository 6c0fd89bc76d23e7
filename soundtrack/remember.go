package soundtrack

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"

	"lampblack/folder"
)

// lastName names the file that says what a path held when it was heard last: the sum of its
// bytes, in hex.
func lastName(dir, path string) (string, error) {
	whole, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(whole))
	return filepath.Join(dir, hex.EncodeToString(sum[:16])+".last"), nil
}

// remember keeps what a path held. A disk that does not take it costs only that.
func remember(ctx context.Context, dir, path, hash string) {
	name, err := lastName(dir, path)
	if err != nil {
		return
	}
	if was, err := folder.ReadFile(ctx, name, 2*sha256.Size); err == nil && string(was) == hash {
		return
	}
	_ = folder.WriteFile(ctx, name, []byte(hash))
}

// ErrNotHeard is that nothing is remembered of a file.
var ErrNotHeard = errors.New("it was not heard before on this computer")

// Remembered is what was heard last in a file that is not there any more, or cannot be read,
// by its path: the moments that its show stands on.
func Remembered(ctx context.Context, path, cacheDir string, o Options) (*Track, error) {
	if cacheDir == "" {
		return nil, ErrNotHeard
	}
	name, err := lastName(cacheDir, path)
	if err != nil {
		return nil, err
	}
	hash, err := folder.ReadFile(ctx, name, 2*sha256.Size)
	if err != nil {
		return nil, ErrNotHeard
	}
	if sum, err := hex.DecodeString(string(hash)); err != nil || len(sum) != sha256.Size {
		return nil, fmt.Errorf("%w: what is kept of it is damaged", ErrNotHeard)
	}
	for _, dir := range []string{o.Brought, cacheDir} {
		if dir == "" {
			continue
		}
		if h, err := kept(ctx, cacheName(dir, string(hash))); err == nil {
			return finished(h, string(hash), o), nil
		}
	}
	return nil, ErrNotHeard
}
