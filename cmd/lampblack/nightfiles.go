package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"path/filepath"
	"strings"

	"lampblack/folder"
	"lampblack/play/hand"
	"lampblack/showreport"
)

// mostTexts bounds the texts of a show whose sums are kept.
const mostTexts = 500

// keepFiles writes the sums of the show's texts beside the journal, so that the night's report
// can say which changed. That it cannot is no harm: the report says less.
func keepFiles(ctx context.Context, journal, dir string) {
	if journal == "" {
		return
	}
	sums := showreport.Files{}
	_ = filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		switch name := e.Name(); {
		case err != nil || len(sums) >= mostTexts || ctx.Err() != nil:
			return fs.SkipAll
		case e.IsDir() && path != dir && (strings.HasPrefix(name, ".") || name == nightsDir):
			return fs.SkipDir
		case e.Type().IsRegular() && filepath.Ext(name) == ".yaml" && name != hand.TonightFile:
			text, err := folder.ReadFile(ctx, path, folder.MaxText)
			if err != nil {
				return nil
			}
			sum := sha256.Sum256(text)
			if short, err := filepath.Rel(dir, path); err == nil {
				sums[filepath.ToSlash(short)] = hex.EncodeToString(sum[:8])
			}
		}
		return nil
	})
	if text, err := json.Marshal(sums); err == nil {
		_ = folder.WriteFile(ctx, beside(journal, ".files"), text)
	}
}

// mostFiles bounds the list of a show's files.
const mostFiles = 1 << 20

// filesOf are the sums of the files that ran in a night; nil when nobody wrote them down.
func filesOf(ctx context.Context, journal string) showreport.Files {
	text, err := folder.ReadFile(ctx, beside(journal, ".files"), mostFiles)
	if err != nil {
		return nil
	}
	var sums showreport.Files
	if json.Unmarshal(text, &sums) != nil {
		return nil
	}
	return sums
}
