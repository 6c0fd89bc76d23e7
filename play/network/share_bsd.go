//go:build unix && !linux

package network

// sharePort: the BSDs, macOS among them, want SO_REUSEPORT too.
const sharePort = true
