package journal_test
import ("testing";"fmt";"vialwright/identity")
func TestZZ(t *testing.T){ for i:=range 12 { var b [16]byte; for j:=range b { b[j]=byte(i*37+j*91+11)}; fmt.Println(identity.New(b)) }
 _,err:=identity.Parse("K7MP-3YWD-9CK2"); fmt.Println(err)}
