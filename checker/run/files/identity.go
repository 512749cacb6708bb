package files

import "io/fs"

// Identity tells files apart, whatever the name that leads to them: links and the like
// make many names of one file. It is that of one moment: a file that was changed, or one
// that came to the place of another, is a different one.
type Identity struct {
	device, number uint64
	name           string // where the system numbers no files
	size           int64
	changed        int64 // by the clock of the file system, in ns
}

// IdentityOf returns that of the file that a name stands for.
func IdentityOf(name string, info fs.FileInfo) Identity {
	id := Identity{size: info.Size(), changed: info.ModTime().UnixNano()}
	var ok bool
	if id.device, id.number, ok = numbers(name, info); !ok {
		id.name = name
	}
	return id
}
