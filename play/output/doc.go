// Package output sends frames out by any wire.
package output
