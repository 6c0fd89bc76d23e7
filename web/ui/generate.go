//go:build ignore

// Writes ui/api.ts from the Go structs that the pages are answered with, and
// clears the way for the bundler, whose shared files change their names.
package main

import (
	"log"
	"os"

	"lampblack/web"
)

func main() {
	if err := os.WriteFile("ui/api.ts", []byte(web.TypeScript()), 0o644); err != nil {
		log.Fatal(err)
	}
	if err := os.RemoveAll("ui/built"); err != nil {
		log.Fatal(err)
	}
}
