package shelf

import (
	"errors"
	"fmt"
	"syscall/js"
)

// indexedDB is a box in the browser: one database with one store of keys and
// bytes. Its methods wait for the browser; they must not be called from within
// one of its events.
type indexedDB struct{ db js.Value }

const objectStore = "box"

// OpenIndexedDB opens the browser's box of that name.
func OpenIndexedDB(name string) (Box, error) {
	factory := js.Global().Get("indexedDB")
	if !factory.Truthy() {
		return nil, errors.New("this browser keeps nothing (no IndexedDB)")
	}
	request := factory.Call("open", name, 1)
	upgrade := js.FuncOf(func(js.Value, []js.Value) any {
		request.Get("result").Call("createObjectStore", objectStore)
		return nil
	})
	defer upgrade.Release()
	request.Set("onupgradeneeded", upgrade)
	if err := wait(request, "onsuccess", "onerror", "onblocked"); err != nil {
		return nil, fmt.Errorf("this browser keeps nothing: %w", err)
	}
	return &indexedDB{request.Get("result")}, nil
}

// wait waits for the event good of a request or transaction; any of the others
// is an error.
func wait(of js.Value, good string, bad ...string) error {
	done := make(chan error, 1)
	tell := func(err error) {
		select {
		case done <- err:
		default: // told already
		}
	}
	var funcs []js.Func
	on := func(event string, f func()) {
		h := js.FuncOf(func(js.Value, []js.Value) any { f(); return nil })
		funcs = append(funcs, h)
		of.Set(event, h)
	}
	on(good, func() { tell(nil) })
	for _, event := range bad {
		on(event, func() {
			text := event
			if e := of.Get("error"); e.Truthy() {
				if text = e.Get("message").String(); e.Get("name").String() == "ConstraintError" {
					tell(ErrTaken)
				}
			}
			tell(errors.New(text))
		})
	}
	err := <-done
	for _, event := range append(bad, good) {
		of.Set(event, js.Null())
	}
	for _, f := range funcs {
		f.Release()
	}
	return err
}

// begin begins a transaction. The browser throws where the database was closed,
// as after its data were cleared.
func (d *indexedDB) begin(mode string, do func(store js.Value)) (tx js.Value, err error) {
	defer func() {
		if r := recover(); r != nil {
			thrown, ok := r.(js.Error)
			if !ok {
				panic(r)
			}
			err = thrown
		}
	}()
	tx = d.db.Call("transaction", objectStore, mode)
	do(tx.Call("objectStore", objectStore))
	return tx, nil
}

func (d *indexedDB) transact(mode string, do func(store js.Value)) error {
	tx, err := d.begin(mode, do)
	if err != nil {
		return err
	}
	return wait(tx, "oncomplete", "onabort") // an error of a request ends in an abort
}

// Keys implements Box.
func (d *indexedDB) Keys(prefix string) ([]string, error) {
	var request js.Value
	err := d.transact("readonly", func(store js.Value) {
		bounds := js.Global().Get("IDBKeyRange").Call("bound", prefix, prefix+"\uffff")
		request = store.Call("getAllKeys", bounds)
	})
	if err != nil {
		return nil, err
	}
	list := request.Get("result")
	keys := make([]string, list.Length())
	for i := range keys {
		keys[i] = list.Index(i).String()
	}
	return keys, nil // in the database's order, which is that of their UTF-16
}

// Get implements Box.
func (d *indexedDB) Get(keys ...string) ([][]byte, error) {
	requests := make([]js.Value, len(keys))
	if len(keys) == 0 {
		return nil, nil
	}
	err := d.transact("readonly", func(store js.Value) {
		for i, k := range keys {
			requests[i] = store.Call("get", k)
		}
	})
	if err != nil {
		return nil, err
	}
	out := make([][]byte, len(keys))
	for i, r := range requests {
		if v := r.Get("result"); v.Truthy() {
			out[i] = make([]byte, v.Get("byteLength").Int())
			js.CopyBytesToGo(out[i], v)
		}
	}
	return out, nil
}

// Put implements Box.
func (d *indexedDB) Put(values map[string][]byte) error { return d.write("put", values) }

// Add implements Box.
func (d *indexedDB) Add(values map[string][]byte) error { return d.write("add", values) }

// write puts in values by one of the store's methods.
func (d *indexedDB) write(method string, values map[string][]byte) error {
	return d.transact("readwrite", func(store js.Value) {
		for k, v := range values {
			if v == nil {
				store.Call("delete", k)
				continue
			}
			bytes := js.Global().Get("Uint8Array").New(len(v))
			js.CopyBytesToJS(bytes, v)
			store.Call(method, bytes, k)
		}
	})
}
