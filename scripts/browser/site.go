package main

import (
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// site is a review on disk.
type site struct {
	root  string          // absolute
	files map[string]bool // relative to root, with forward slashes
}

func readSite(root string) (*site, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, err
	}
	s := &site{root: root, files: map[string]bool{}}
	err = filepath.WalkDir(root, func(file string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(root, file)
		s.files[filepath.ToSlash(relative)] = true
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("no review: %w; run boutwise first", err)
	}
	if !s.files["index.html"] {
		return nil, fmt.Errorf("%s holds no index.html: %w", root, os.ErrNotExist)
	}
	return s, nil
}

// choose lists the pages to open: all that are no session's, and the newest
// few sessions of each client, or all for none. A session of each client
// comes before the second of any, so that what is wrong with a kind of page
// shows early.
func (s *site) choose(perClient int) []string {
	var pages []string
	rank := map[string]int{} // of a page among its client's sessions
	seen := map[string]int{}
	for file := range s.files {
		if path.Ext(file) == ".html" {
			pages = append(pages, file)
		}
	}
	slices.Sort(pages)
	for _, page := range slices.Backward(pages) {
		if strings.HasPrefix(page, "sessions/") {
			seen[path.Dir(page)]++
			rank[page] = seen[path.Dir(page)]
		}
	}
	slices.SortStableFunc(pages, func(a, b string) int { return rank[a] - rank[b] })
	if perClient > 0 {
		pages = slices.DeleteFunc(pages, func(page string) bool { return rank[page] > perClient })
	}
	return pages
}

// address is the file URL of a page.
func (s *site) address(page string) string {
	return (&url.URL{Scheme: "file", Path: path.Join(filepath.ToSlash(s.root), page)}).String()
}

// place parts a URL into a file of the review and a fragment.
func (s *site) place(address string) (file, fragment string, err error) {
	u, err := url.Parse(address)
	if err != nil {
		return "", "", err
	}
	inside, found := strings.CutPrefix(u.Path, filepath.ToSlash(s.root)+"/")
	if u.Scheme != "file" || !found {
		return "", "", fmt.Errorf("leaves the review")
	}
	return inside, u.Fragment, nil
}
