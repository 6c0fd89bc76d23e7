// Package archive holds what DIN SPEC 15800 and 15801 have in common below their own words:
// a ZIP archive with an XML document in it. [Unpack] takes files out of an archive, [Parse]
// makes a small tree of a document; [Pack] and [Writer] write both, in one form, so that the
// same content gives the same bytes.
//
// Files come from strangers. An archive with names that lead out of it, with more files
// than any such archive has or with more octets than are wanted is refused, and so is a
// document with a document type (whose entities could unfold without end), with elements too
// deep within each other, or with too many of them. All limits are checked before memory is
// taken: reading costs at most some 100 MB and a second.
package archive
