// Reading the order's JSON Schema: what kind of field each is, and what it is called.

/** A reader of one schema. */
export class Schema {
  constructor(root) {
    this.root = root;
  }

  /** The schema meant by a `$ref`; what stands beside the reference goes before. */
  followed(schema) {
    if (!schema.$ref) return schema;
    const target = schema.$ref.slice(2).split('/').reduce((at, step) => at[step], this.root);
    return this.paired({ ...target, ...schema, $ref: undefined });
  }

  /** A value that may also be an object: `pair` has the object's fields. */
  paired(schema) {
    const object = schema.anyOf?.map((one) => this.followed(one)).find((one) => one.properties);
    return object ? { ...schema, pair: this.fields(object) } : schema;
  }

  /** The fields of an object: `[name, schema, whether it is required]`. */
  fields(schema) {
    const required = schema.required ?? [];
    return Object.entries(schema.properties).map(([name, s]) => [name, this.followed(s), required.includes(name)]);
  }

  /** The schema at a path; undefined where there is none. */
  at(path) {
    let schema = this.root;
    for (const step of path) {
      const next = Object.hasOwn(schema.properties ?? {}, step) ? schema.properties[step] : (schema.type === 'array' ? schema.items : undefined);
      if (!next) return undefined;
      schema = this.followed(next);
    }
    return schema;
  }

  /** Whether a field must be given. */
  isRequired(path) {
    const parent = this.at(path.slice(0, -1));
    return parent?.required?.includes(path.at(-1)) ?? false;
  }
}

/** `group`, `list`, `choice`, `flag`, `tolerance`, `number`, `count` or `text`. */
export function kind(schema) {
  if (schema.properties) return 'group';
  if (schema.type === 'array') return 'list';
  if (schema.oneOf?.every((one) => one.const !== undefined)) return 'choice';
  if (schema.type === 'boolean') return 'flag';
  if (schema['x-quantity'] === 'tolerance') return 'tolerance';
  if (schema.type === 'integer') return 'count';
  if (schema.type === 'number') return 'number';
  return 'text';
}

const ENDINGS = { _deg: '°', _hz: 'Hz', _hrc: 'HRC', _rpm: '1/min' };
const ending = (name) => Object.keys(ENDINGS).find((e) => name.endsWith(e));
/** What these are called; nothing else, whatever a field of a file is called. */
const NAMES = { __proto__: null, $schema: 'Schema', side_a: 'Side A', side_b: 'Side B', order: 'Order head', hardness_hrc: 'Hardness' };

/** What a field is called: its name in words, without its unit. */
export function label(name) {
  if (NAMES[name]) return NAMES[name];
  const words = name.replace(new RegExp(`${ending(name) ?? '$'}$`), '').replaceAll('_', ' ').replace(/^max /, 'maximum ');
  // an unknown field may be called anything, or nothing
  if (words.trim() === '') return 'A field without a name';
  const written = name.endsWith('_rpm') ? `${words} speed` : words;
  return written[0].toUpperCase() + written.slice(1);
}

/** The unit a bare value has; lengths take the file's. */
export function unit(name, schema, file) {
  const quantity = schema['x-quantity'];
  if (ENDINGS[ending(name)]) return ENDINGS[ending(name)];
  return quantity === 'length' || quantity === 'tolerance' ? file : '';
}

/** An example to write in a field that carries its own unit. */
export function example(schema) {
  const own = ['density', 'mass', 'speed'].includes(schema['x-quantity']);
  return own ? String(schema.examples?.[0] ?? '') : '';
}
