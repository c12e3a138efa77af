package demo

import (
	"archive/zip"
	"bytes"
	"cmp"
	"compress/gzip"
	"fmt"
	"path"
	"slices"
	"time"

	"boutwise/parsers/recording"
)

// inbox collects one client's exports, as the client would send them.
type inbox struct {
	client client
	cal    calendar
	plain  []file
	zips   []*bundle
	truths []FileTruth
}

// bundle is a zip archive in the making.
type bundle struct {
	path    string
	members []file
	stamps  []time.Time
}

func newInbox(c client, cal calendar) *inbox { return &inbox{client: c, cal: cal} }

// encode writes a recording in a format.
func (k kit) encode(rec *recording.Recording, f recording.Format) ([]byte, error) {
	switch f {
	case recording.FIT:
		return encodeFIT(rec, k.product, k.serial)
	case recording.GPX:
		return encodeGPX(rec)
	case recording.TCX:
		return encodeTCX(rec, k.product, k.serial)
	}
	return nil, fmt.Errorf("no writer for format %q", f)
}

// put stores a session's export and whatever befell it, and returns the paths
// under which the session can be found.
func (b *inbox) put(o outing, rec recording.Recording) ([]string, error) {
	k := b.client.kit
	data, err := k.encode(&rec, k.format)
	if err != nil {
		return nil, err
	}
	stem := o.start.Format(k.file)
	t := FileTruth{Format: k.format, Status: "read", Client: b.client.who.ID, StartUTC: o.start.UTC()}
	switch o.what {
	case cutInHalf:
		data = data[:len(data)/2]
		t.Status = "salvaged"
	case emptyFile:
		b.hopeless(stem+"-2."+string(k.format), nil)
	case textFile:
		b.hopeless("note "+o.start.Format("2 Jan")+".fit", []byte("The console would not export on Wednesday evening. I will try again.\n"))
	}
	paths := []string{b.store(o, stem+"."+string(k.format), data, t)}
	switch o.what {
	case exportedTwice:
		// The same bytes under another name, one that sorts later.
		t.Status = "duplicate"
		paths = append(paths, b.store(o, stem+"_copy."+string(k.format), data, t))
	case twoFormats:
		// Another file, but nothing in it that the first does not tell better.
		t.Format, t.Status = recording.GPX, "duplicate"
		other, err := k.encode(&rec, recording.GPX)
		if err != nil {
			return nil, err
		}
		paths = append(paths, b.store(o, stem+".gpx", other, t))
	}
	return paths, nil
}

// hopeless adds a file that holds no workout.
func (b *inbox) hopeless(name string, data []byte) {
	p := path.Join(b.client.who.ID, name)
	b.plain = append(b.plain, file{p, data})
	b.truths = append(b.truths, FileTruth{Path: p, Status: "refused", Client: b.client.who.ID})
}

// store puts bytes where the client keeps exports of that week: plain,
// gzipped or in a zip. It returns the path by which the export is known.
func (b *inbox) store(o outing, name string, data []byte, t FileTruth) string {
	k := b.client.kit
	id := b.client.who.ID
	if k.archive != "" && (k.archiveUntil == 0 || o.week <= k.archiveUntil) {
		z := b.bundle(path.Join(id, o.start.Format(k.archive)))
		member := path.Join(k.folder, name)
		z.members = append(z.members, file{member, data})
		z.stamps = append(z.stamps, o.start)
		t.Path = path.Join(z.path, member)
	} else {
		if k.gzip {
			name, data = name+".gz", squeeze(data)
		}
		t.Path = path.Join(id, name)
		b.plain = append(b.plain, file{t.Path, data})
	}
	b.truths = append(b.truths, t)
	return t.Path
}

// bundle finds or begins the archive of that path.
func (b *inbox) bundle(p string) *bundle {
	for _, z := range b.zips {
		if z.path == p {
			return z
		}
	}
	z := &bundle{path: p}
	b.zips = append(b.zips, z)
	return z
}

// pack closes the archives and returns all files of the inbox.
func (b *inbox) pack() ([]file, error) {
	files := b.plain
	for _, z := range b.zips {
		data, err := z.write()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", z.path, err)
		}
		files = append(files, file{z.path, data})
	}
	slices.SortFunc(b.truths, func(x, y FileTruth) int { return cmp.Compare(x.Path, y.Path) })
	return files, nil
}

// write makes the archive. Members carry their workout's time, so that the
// bytes depend on nothing else.
func (z *bundle) write() ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i, m := range z.members {
		f, err := w.CreateHeader(&zip.FileHeader{Name: m.path, Method: zip.Deflate, Modified: z.stamps[i].UTC()})
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(m.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// squeeze gzips data, with no name or time in the header. Writing to memory
// cannot fail.
func squeeze(data []byte) []byte {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	w.Write(data)
	w.Close()
	return out.Bytes()
}
