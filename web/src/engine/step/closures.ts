// The STEP library makes a function for each that crosses its door out of text, at its start, which the page's policy
// forbids. There are two kinds of them; here they are closures that do the same. The library's own file stays as it is.

interface Wire {
  toWireType(destructors: unknown[], value: unknown): unknown;
  fromWireType(value: unknown): unknown;
  readValueFromPointer(at: number): unknown;
  readonly argPackAdvance: number;
}

type Call = (...given: unknown[]) => unknown;
type Bound = Readonly<Record<string, unknown>>;

/** Let `Function` make the library's functions, for as long as its worker lives. */
export function withoutText(): void {
  const made = (...words: string[]): Call => {
    const [names, body] = [words.slice(0, -1), words.at(-1) ?? ""];
    return (...given) => {
      const bound: Bound = Object.fromEntries(names.map((name, at) => [name, given[at]]));
      const types = names.filter((name) => /^argType\d+$/.test(name)).map((name) => bound[name] as Wire);
      return "invoker" in bound ? outward(bound, types) : inward(bound, types, body);
    };
  };
  made.prototype = Function.prototype; // what is a function stays one
  Object.defineProperty(globalThis, "Function", { value: made });
}

/** A function of the library, called from here. */
function outward({ invoker, fn, runDestructors, retType, ...bound }: Bound, types: readonly Wire[]): Call {
  return (...given) => {
    const destructors: unknown[] = [];
    const wired = types.map((type, at) => type.toWireType(destructors, given[at]));
    const answer = (invoker as Call)(fn, ...wired);
    (runDestructors as Call)(destructors);
    wired.forEach((each, at) => (bound[`arg${at}Wired_dtor`] as Call | undefined)?.(each));
    return (retType as Wire).fromWireType(answer);
  };
}

/** A function from here, called by the library. */
function inward({ retType, emval_returnValue: returned }: Bound, types: readonly Wire[], body: string): Call {
  const [makes, has] = [body.includes("new func("), body.includes("func.call(obj")];
  return (owner, called, destructors, place) => {
    let at = place as number;
    const read = types.map((type) => {
      const value = type.readValueFromPointer(at);
      at += type.argPackAdvance;
      return value;
    });
    const func = called as new (...given: unknown[]) => unknown;
    const answer = makes ? new func(...read) : has ? (called as Call).call(owner, ...read) : (called as Call).call(...(read as [unknown]));
    return returned ? (returned as Call)(retType, destructors, answer) : undefined;
  };
}
