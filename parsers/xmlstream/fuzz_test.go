package xmlstream

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"boutwise/parsers/recording"
)

// FuzzReader bends the fixtures of both XML formats: whatever the bytes, the
// tokens pair up, stay within the depth, and end; what was wrong is told.
func FuzzReader(f *testing.F) {
	for _, pattern := range []string{"../gpx/testdata/*.gpx", "../tcx/testdata/*.tcx"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			f.Fatalf("%s: %d seeds, %v", pattern, len(paths), err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Add([]byte("<a>M\xfcller\x01&#1;&#x1f;\xef\xbf\xbf</a>"))
	f.Add([]byte("\xff\xfe<\x00a\x00/\x00>\x00"))
	f.Add([]byte("<?xml version='1.0' encoding='latin1'?><!DOCTYPE a [<!ENTITY b '&b;'>]><a>&b;<![CDATA[x]]><!-- --></a>"))
	lim := recording.Limits{MaxXMLDepth: 6}
	f.Fuzz(func(t *testing.T, data []byte) {
		r := New(data, recording.GPX, lim)
		var open []xml.Name
		for {
			tok, err := r.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				if !errors.Is(err, recording.ErrTooLarge) {
					t.Fatalf("%v is no limit", err)
				}
				return
			}
			switch tok := tok.(type) {
			case xml.StartElement:
				if open = append(open, tok.Name); len(open) > lim.MaxXMLDepth {
					t.Fatalf("%d elements deep", len(open))
				}
			case xml.EndElement:
				if len(open) == 0 || open[len(open)-1] != tok.Name {
					t.Fatalf("</%s> closes nothing", tok.Name.Local)
				}
				open = open[:len(open)-1]
			}
		}
		if len(open) > 0 {
			t.Fatalf("%v is never closed", open)
		}
		told := strings.Join(r.Salvage(), "\n")
		if r.Damaged() != strings.Contains(told, "XML damaged") || r.src.repaired != strings.Contains(told, "were replaced") {
			t.Fatalf("damaged %v, repaired %v, told %v", r.Damaged(), r.src.repaired, told)
		}
		// What the tokenizer cannot read is kept from it.
		if strings.Contains(told, "invalid UTF-8") {
			t.Fatal(told)
		}
	})
}

// FuzzTime: a time that is read is a time that can be written.
func FuzzTime(f *testing.F) {
	for _, text := range []string{"2025-03-01T08:00:00Z", "2016-12-31T23:59:60.5+01:00", "2025-03-01 08:00:00", "0001-01-01T00:00:00Z", "9999-12-31T23:59:60Z"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, ok := Time(text)
		if !ok {
			return
		}
		again, ok := Time(got.Format(time.RFC3339Nano))
		// Only a leap second at the end of the calendar has no time after it.
		if (!ok || !again.Equal(got)) && got.Year() <= 9999 {
			t.Fatalf("%q is %v, and then %v, %v", text, got, again, ok)
		}
	})
}
