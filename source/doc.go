// Package source reads the text files of a show strictly and remembers where
// every value stood: [Decode] fills a struct from a file and returns all its
// [Faults], [Schema] prints the same struct for editors, and [OpenText] changes
// single values in a file that somebody else wrote.
//
// A file is YAML 1.2 of the plain kind: mappings, sequences, scalars and
// comments. Anchors, aliases, merge keys, tags and several documents in one
// file are refused, because a show must read the same to a person as to the
// program. The struct is the whole description of the file's form:
//
//	type Unit struct {
//		source.Pos                                 // where the mapping began
//		Name    source.Ref  `key:"unit,required"`  // a name and its place
//		At      [3]si.Length `key:"at"`            // a list of exactly three
//		Systems []string    `key:"systems"`        // a list, or one alone
//		Address int         `key:"address" within:"1 to 512"`
//		Delay   time.Duration `key:"delay"`        // 250 ms, 6 s, 1:02.350
//	}
//
// Every key is optional unless it says required; one that says word takes a word
// that stands in place of the whole mapping; an unknown key is a fault with a
// suggestion. Text types with a Choices method are enumerations. Named holds a
// mapping whose keys are names, in the file's order. A type that has a form of its
// own implements Reader.
//
// All faults of a file are found in one pass, each with file, line, column, a
// reason and a hint. A Schema is JSON Schema, draft 2020-12. A Text cuts bytes out
// of the file and puts bytes in, so that comments, blank lines and order survive.
//
//	bytes ─clean─▶ parser ─▶ tree of nodes ─plain─▶ into ─▶ struct, faults
//	        UTF-8, tabs      with line, column       by the struct's type
package source
