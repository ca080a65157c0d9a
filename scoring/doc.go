// Package scoring turns a run sheet into marks, a rating and one line of
// advice. Marks are pure functions of the sheet: they replay its commands and
// never look at what was drawn or heard.
package scoring
