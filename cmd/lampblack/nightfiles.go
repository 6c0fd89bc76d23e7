package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"lampblack/folder"
	"lampblack/showreport"
)

// keepFiles writes the sums of the texts that were read of the show beside the journal, so that
// the night's report can say which changed. That it cannot is no harm: the report says less.
func keepFiles(ctx context.Context, journal string, texts map[string][]byte) {
	if journal == "" {
		return
	}
	sums := showreport.Files{}
	for name, text := range texts {
		sum := sha256.Sum256(text)
		sums[name] = hex.EncodeToString(sum[:8])
	}
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
