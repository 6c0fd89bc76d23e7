//go:build ignore

// Writes ui/api.ts from the Go structs that the pages are answered with.
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
}
