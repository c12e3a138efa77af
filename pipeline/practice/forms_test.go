package practice

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// TestForms writes the same two measurements in every form that a spreadsheet
// may give them.
func TestForms(t *testing.T) {
	want := []Measurement{
		{"Zoë", day("2026-01-02"), BodyMass, 70.5},
		{"Zoë", day("2026-03-25"), BodyMass, 71},
	}
	plain := "client_id,date,quantity,value\nZoë,2026-01-02,body_mass_kg,70.5\nZoë,2026-03-25,body_mass_kg,71\n"
	encoded := func(e encoding.Encoding, text string) string {
		t.Helper()
		s, err := e.NewEncoder().String(text)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	tabbed := "client_id\tdate\tquantity\tvalue\r\nZoë\t02.01.2026\tbody_mass_kg\t70,5\r\nZoë\t25.03.2026\tbody_mass_kg\t71\r\n"
	tests := []struct{ name, text string }{
		{"plain", plain},
		{"byte-order mark", "\ufeff" + plain},
		{"UTF-16 little-endian", encoded(unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), plain)},
		{"UTF-16 big-endian", encoded(unicode.UTF16(unicode.BigEndian, unicode.UseBOM), plain)},
		{"UTF-16 without a mark", encoded(unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), plain)},
		{"UTF-16 big-endian without a mark", encoded(unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), plain)},
		{"text with tabs as spreadsheets save it", encoded(unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), tabbed)},
		{"Windows-1252", encoded(charmap.Windows1252, plain)},
		{"byte-order mark, CRLF and semicolons", "\ufeffclient_id;date;quantity;value\r\nZoë;2026-01-02;body_mass_kg;70,5\r\nZoë;2026-03-25;body_mass_kg;71\r\n"},
		{"a comma in the notes of a semicolon sheet", "client_id;date;quantity;value;notes\nZoë;2026-01-02;body_mass_kg;70,5;at home, shoes on, evening, tired, late\nZoë;2026-03-25;body_mass_kg;71;\n"},
		{"line breaks in a cell", "client_id,date,quantity,value,note\nZoë,2026-01-02,body_mass_kg,70.5,\"at home\nshoes on\"\nZoë,2026-03-25,body_mass_kg,71,\n"},
		{"line breaks in a cell, CRLF and semicolons", "client_id;date;note;quantity;value\r\nZoë;2026-01-02;\"at home\r\nshoes; on\";body_mass_kg;70,5\r\nZoë;2026-03-25;;body_mass_kg;71\r\n"},
		{"quotation marks in a cell", "client_id,date,quantity,value,note\nZoë,2026-01-02,body_mass_kg,70.5,\"the \"\"new\"\" scale\"\n\"Zoë\",\"2026-03-25\",\"body_mass_kg\",\"71\",\n"},
		{"line break in a column's name", "client_id,date,quantity,value,\"note\nof the coach\"\nZoë,2026-01-02,body_mass_kg,70.5,\nZoë,2026-03-25,body_mass_kg,71,\n"},
		{"no newline at the end", plain[:len(plain)-1]},
		{"CRLF", "client_id,date,quantity,value\r\nZoë,2026-01-02,body_mass_kg,70.5\r\nZoë,2026-03-25,body_mass_kg,71\r\n"},
		{"CR", "client_id,date,quantity,value\rZoë,2026-01-02,body_mass_kg,70.5\rZoë,2026-03-25,body_mass_kg,71\r"},
		{"semicolons and decimal comma", "client_id;date;quantity;value\nZoë;02.01.2026;body_mass_kg;70,5\nZoë;25.03.2026;body_mass_kg;71,0\n"},
		{"sep line", "sep=;\nclient_id;date;quantity;value\nZoë;2.1.2026;body_mass_kg;70,5\nZoë;25.3.2026;body_mass_kg;71\n"},
		{"sep line with a tab", "sep=\t\nclient_id\tdate\tquantity\tvalue\nZoë\t2.1.2026\tbody_mass_kg\t70,5\nZoë\t25.3.2026\tbody_mass_kg\t71\n"},
		{"tabs", "client_id\tdate\tquantity\tvalue\nZoë\t2026-01-02\tbody_mass_kg\t70,5\nZoë\t2026-03-25\tbody_mass_kg\t71\n"},
		{"quoted decimal comma", "client_id,date,quantity,value\nZoë,2026-01-02,body_mass_kg,\"70,5\"\nZoë,2026-03-25,body_mass_kg,71\n"},
		{"column order and case", "Value,QUANTITY,Date,Client ID\n70.5,Body_Mass_kg,2026-01-02,Zoë\n71,body_mass_kg,2026-03-25,Zoë\n"},
		{"trailing blanks and empty rows", "\n client_id , date ,quantity,value,,\n,,,\nZoë , 2026-01-02,\u00a0body_mass_kg ,70.5 ,,\n\nZoë,2026-03-25,body_mass_kg,71,,\n ,,,,\n"},
		{"comments and a column of notes", "# mine\nclient_id,note,date,quantity,value\nZoë,\"at home, shoes on\",2026-01-02,body_mass_kg,70.5\n# later\nZoë,,2026-03-25,body_mass_kg,71\n"},
		{"time of day", "client_id,date,quantity,value\nZoë,2026-01-02 00:00:00,body_mass_kg,70.5\nZoë,2026-03-25T00:00:00,body_mass_kg,71\n"},
		{"year first with slashes", "client_id,date,quantity,value\nZoë,2026/1/2,body_mass_kg,70.5\nZoë,2026/03/25,body_mass_kg,71\n"},
		{"slashes that can mean one day only", "client_id,date,quantity,value\nZoë,2026-01-02,body_mass_kg,70.5\nZoë,25/03/2026,body_mass_kg,71\n"},
		{"the same, month first", "client_id,date,quantity,value\nZoë,2026-01-02,body_mass_kg,70.5\nZoë,03/25/2026,body_mass_kg,71\n"},
		{"not in order of date, one repeated", "client_id,date,quantity,value\nZoë,2026-03-25,body_mass_kg,71\nZoë,2026-01-02,body_mass_kg,70.5\nZoë,2026-03-25,body_mass_kg,71.0\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := load(t, map[string]string{"measurements.csv": tt.text, "inbox/Zoë/x.fit": ""})
			if diff := cmp.Diff(want, p.Measurements); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestRowsAreTheSpreadsheets: a problem names the row that a spreadsheet
// shows: comments and empty lines count, a cell that spans lines does not, nor
// does the line that only tells the separator.
func TestRowsAreTheSpreadsheets(t *testing.T) {
	tests := []struct {
		name, text string
		row        int
	}{
		{"comments and empty lines", "# comment\n\nclient_id;name\nc1;A\n\nc1;C\n", 6},
		{"a cell of three lines", "client_id;name\nc1;\"A\n\nB\"\nc1;C\n", 3},
		{"a name of two lines", "client_id;\"note\nof mine\"\nc1;\nc1;\n", 3},
		{"a line that tells the separator", "sep=;\nclient_id;name\nc1;A\nc1;C\n", 3},
		{"an open quotation mark", "client_id;name\nc1;\"A\nB\"\nc2;\"C\nc3;D\n", 3},
	}
	for _, tt := range tests {
		if got := problems(t, map[string]string{"clients.csv": tt.text}); got[0].Row != tt.row {
			t.Errorf("%s: row %d, want %d: %v", tt.name, got[0].Row, tt.row, got)
		}
	}
}

func TestNearest(t *testing.T) {
	words := []string{"base", "base_with_bursts", "intervals"}
	tests := []struct{ word, want string }{
		{"intervalls", `, perhaps "intervals"`},
		{"bass", `, perhaps "base"`},
		{"swim", ""},
		{"", ""},
	}
	for _, tt := range tests {
		if got := nearest(tt.word, words); got != tt.want {
			t.Errorf("%q: %q, want %q", tt.word, got, tt.want)
		}
	}
	// Levenshtein's own kind of example: three edits.
	if n := editDistance("kitten", "sitting"); n != 3 {
		t.Errorf("distance %d, want 3", n)
	}
}
