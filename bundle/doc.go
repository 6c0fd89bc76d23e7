// Package bundle holds a whole show in one file, to be taken to a machine that has
// nothing of it.
//
//	err := bundle.Write(w, bundle.Contents{Label: label, Files: files})
//	b, faults, err := bundle.Open(ctx, "the-lantern-fish.zip") // the lists agree with what is there
//	faults, err = b.Check(progress)                            // and every sum with its file
//	err = b.Unpack(folder)                                     // all files, or none
//
// A bundle is a bag (BagIt, RFC 8493) inside a plain zip file (the profile of ISO/IEC
// 21320-1), so that any system opens it and common programs can check it:
//
//	the-lantern-fish/bagit.txt                 that it is a bag, of version 1.0
//	the-lantern-fish/bag-info.txt              title, version of the show, sums of its light
//	the-lantern-fish/READ-ME-FIRST.txt         what to do on a machine that knows nothing of it
//	the-lantern-fish/manifest-sha256.txt       SHA-256 (FIPS 180-4) of each file below data/
//	the-lantern-fish/tagmanifest-sha256.txt    the same of all others
//	the-lantern-fish/data/...                  the show's folder
//	the-lantern-fish/programs/linux-amd64/...  programs for other systems, if asked for
//
// Its bytes depend on its contents alone: files in the order of their names, one date,
// and stored as they are, since a compressor's next version may give other bytes.
//
// A bundle may come from anybody. Open takes one only when its names are such as every
// system can hold, none leads out of its folder or stands for another, its entries lie
// side by side in the file (those of a zip bomb overlap: D. Fifield, "A better zip bomb",
// USENIX WOOT 2019), and what it unpacks to is in proportion to what it holds.
package bundle
