// Survey measures the house: how large its packages, files and functions are,
// how branched, how commented, how much they export; and draws its packages.
//
//	go run -C tools ./survey            a table of all packages, and the most branched functions
//	go run -C tools ./survey draw FILE  the packages by their imports, as a picture
package main

import (
	"fmt"
	"os"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "survey:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	house, err := read("..")
	if err != nil {
		return err
	}
	switch {
	case len(args) == 0:
		house.table(os.Stdout)
		return nil
	case len(args) == 2 && args[0] == "draw":
		return os.WriteFile(args[1], []byte(house.picture()), 0o644)
	}
	return fmt.Errorf("nothing, or draw FILE")
}
