package pack

import (
	"fmt"
	"reflect"
	"time"
)

// Value writes what a pointer points to: a struct, slice, pointer, text, number, time, or
// yes or no, and whatever is in it that can be set. Of a text there is the number among
// texts alone.
func (w *Writer) Value(v any, texts *Texts) { w.value(reflect.ValueOf(v).Elem(), texts) }

func (w *Writer) value(v reflect.Value, texts *Texts) {
	if at, ok := v.Addr().Interface().(*time.Time); ok {
		w.Time(*at)
		return
	}
	switch v.Kind() {
	case reflect.String:
		w.Number(texts.Put(v.String()))
	case reflect.Int:
		w.Number(int(v.Int()))
	case reflect.Float64:
		w.Float(v.Float())
	case reflect.Bool:
		w.Bool(v.Bool())
	case reflect.Pointer:
		w.Bool(!v.IsNil())
		if !v.IsNil() {
			w.value(v.Elem(), texts)
		}
	case reflect.Slice:
		w.Number(v.Len())
		for i := range v.Len() {
			w.value(v.Index(i), texts)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			w.value(v.Field(i), texts)
		}
	default:
		panic(fmt.Sprintf("fault: a %s cannot be packed", v.Type()))
	}
}

// Value reads what Value wrote, to where a pointer points, which is empty before. Times
// are in UTC, and nothing is shared with what was written.
func (c *Reader) Value(v any, texts *Texts) { c.value(reflect.ValueOf(v).Elem(), texts) }

func (c *Reader) value(v reflect.Value, texts *Texts) {
	if at, ok := v.Addr().Interface().(*time.Time); ok {
		*at = c.Time()
		return
	}
	switch v.Kind() {
	case reflect.String:
		if n := c.Number(); c.err == nil && 0 <= n && n < texts.Len() {
			v.SetString(texts.At(n))
		} else {
			c.fail()
		}
	case reflect.Int:
		v.SetInt(int64(c.Number()))
	case reflect.Float64:
		v.SetFloat(c.Float())
	case reflect.Bool:
		v.SetBool(c.Bool())
	case reflect.Pointer:
		if c.Bool() {
			v.Set(reflect.New(v.Type().Elem()))
			c.value(v.Elem(), texts)
		}
	case reflect.Slice:
		if n := c.Count(); n > 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
		}
		for i := range v.Len() {
			c.value(v.Index(i), texts)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			c.value(v.Field(i), texts)
		}
	default:
		panic(fmt.Sprintf("fault: a %s cannot be packed", v.Type()))
	}
}
