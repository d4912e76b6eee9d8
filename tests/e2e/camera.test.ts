import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectReadable, newCamera } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

const field = (page: Page, label: string) => page.getByRole('textbox', { name: label, exact: true });

/** A camera with every number given, in the order a maker would give them. */
async function builtCamera(page: Page): Promise<void> {
  await newCamera(page);
  await page.getByRole('combobox', { name: 'Format' }).selectOption({ label: '4×5 in sheet film' });
  await field(page, 'Hole to film').fill('106');
  await field(page, 'Wood thickness').fill('9');
  await field(page, 'Holder depth T').fill('5');
  await answerWith(page, 'deep inside');
}

describe('a maker describes a box', () => {
  it('“about 75°, 18 mm walnut” becomes a box that can be sawn', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await newCamera(page);
    await page.getByRole('combobox', { name: 'Format' }).selectOption({ label: '4×5 in sheet film' });
    await answerWith(page, 'Now the focal length');
    await field(page, 'Wanted angle').fill('about 75°');
    // half diagonal 76.876 mm / tan 37.5°
    await page.getByText('needs a focal length of 100.19 mm').waitFor();
    await page.getByRole('button', { name: 'Take 100.19 mm' }).click();
    await field(page, 'Wood').fill('walnut');
    await field(page, 'Wood thickness').fill('18');
    await page.getByRole('button', { name: 'Take 5 mm' }).click();
    const answer = await answerWith(page, 'deep inside');
    // 100.188 − 5.004 + 0.18, and 18 mm of front board
    expect(answer).toContain('Sees 75° on the diagonal');
    expect(answer).toContain('95.4 mm deep inside, 113.4 mm over the wood');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('gets the inside depths of a worked box: 101.18 and 94.18 mm; starts from a hole and from a box in hand', async () => {
    // f 106, T 5.00, film 0.18: f − T + film − s for s 0 and 7
    const { page, context, complaints } = await stage.visit('camera');
    await builtCamera(page);
    await page.getByText('101.18 mm', { exact: true }).waitFor();
    await field(page, 'Plate seat s').fill('7');
    await page.getByText('94.18 mm', { exact: true }).waitFor();
    await field(page, 'Plate seat s').fill('');
    await page.getByText('101.18 mm', { exact: true }).waitFor();

    await page.getByText('Everything here is reckoned with the image area, not with the cut size.').waitFor();
    expect(await field(page, 'Sheet cut to, width').inputValue()).toMatch(/^125[.,]4/);

    await field(page, 'Hole in hand').fill('0,43');
    await page.getByText('is best for 106.2').waitFor();
    await field(page, 'Box in hand').fill('4"');
    // 101.6 + 5 − 0.18
    await page.getByRole('button', { name: 'Take 106.42 mm' }).click();
    expect(await field(page, 'Hole to film').inputValue()).toBe('106.42 mm');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('text as typed', () => {
  it('keeps 3/16 and shows the other unit; keeps what it cannot read and holds the last good value; steps in the unit typed', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await builtCamera(page);
    const wood = field(page, 'Wood thickness');
    await wood.fill('3/16');
    await page.getByText('4.76 mm', { exact: true }).waitFor();
    const focal = field(page, 'Hole to film');
    await focal.fill('106 ells');
    await focal.blur();
    await page.getByText(/“ells”/).waitFor();
    expect(await focal.getAttribute('aria-invalid')).toBe('true');
    await answerWith(page, '101.2 mm deep inside');
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    expect(await wood.inputValue()).toBe('3/16');
    await page.getByText('4.76 mm', { exact: true }).waitFor();
    expect(await focal.inputValue()).toBe('106 ells');
    await answerWith(page, '101.2 mm deep inside');

    // a length that may be two things
    await wood.fill('1,000');
    await wood.blur();
    await page.getByText(/could mean|may be|or 1000/).first().waitFor();

    await wood.fill('3/16"');
    await wood.press('ArrowUp');
    expect(await wood.inputValue()).toBe('7/32 in');
    await wood.fill('9 mm');
    await wood.press('ArrowDown');
    expect(await wood.inputValue()).toBe('8.5 mm');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('a number that no workshop holds', () => {
  it('stays in its field with the bound in the field’s own unit, also after a reload; the last good one holds', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await builtCamera(page);
    const focal = field(page, 'Hole to film');
    await focal.fill('999999');
    await page.getByText('“999999” was not kept: Hole to film must be at most 100000 mm.').waitFor();
    expect(await focal.getAttribute('aria-invalid')).toBe('true');
    await answerWith(page, '101.2 mm deep inside');
    await page.getByText('Saved on this device').waitFor();
    await page.reload();
    expect(await focal.inputValue()).toBe('999999');
    await page.getByText('“999999” was not kept').waitFor();
    await focal.fill('100');
    await answerWith(page, '95.2 mm deep inside');
    expect(await focal.getAttribute('aria-invalid')).toBe('false');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('film along the wall of a can', () => {
  it('is drawn and described, has no box, and says first where it would pass the hole', async () => {
    const { page, context, complaints } = await stage.visit('camera', { demo: [] });
    await page.getByRole('button', { name: /^Camera on the bench/ }).click();
    await page.getByRole('region', { name: 'Camera on the bench' }).getByRole('button', { name: 'Tea tin for the sun' }).first().click();
    // flat film of the size would see 121°
    await answerWith(page, /Sees 1[34]\d° on the diagonal/);
    expect(await page.getByText('Inside depth', { exact: true }).count()).toBe(0);
    await page.getByRole('heading', { name: 'Can', exact: true }).waitFor();
    await page.reload();
    await answerWith(page, 'Sees');
    await field(page, 'Hole to film').fill('60');
    // 100 mm of paper to each side, 60 · π/2 = 94.2 mm half way round
    await answerWith(page, 'at a focal length of 60.0 mm it would pass the hole after 94.2 mm');
    await field(page, 'Hole to film').fill('72');
    await answerWith(page, 'Sees');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('taking hold', () => {
  it('of the film plane by mouse and by arrow keys, of the hole, and undoing and redoing by button and by keyboard', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await builtCamera(page);
    const focal = field(page, 'Hole to film');
    const plane = page.getByRole('slider', { name: 'Film plane: focal length' });
    const box = await plane.boundingBox();
    if (box === null) throw new Error('The film plane is not drawn.');
    const from = { x: box.x + box.width / 2, y: box.y + box.height * 0.85 };
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x - 30, from.y, { steps: 6 });
    await page.mouse.up();
    const value = Number.parseFloat(await focal.inputValue());
    expect(value).toBeGreaterThan(108);
    expect(value % 0.5).toBe(0);
    await page.getByRole('button', { name: 'Undo focal length' }).click();
    expect(await focal.inputValue()).toBe('106');

    await focal.fill('90');
    await answerWith(page, '85.2 mm deep inside');
    await page.getByRole('button', { name: 'Undo focal length' }).click();
    await answerWith(page, '101.2 mm deep inside');
    expect(await focal.inputValue()).toBe('106');
    await page.keyboard.press('Control+Shift+z');
    await answerWith(page, '85.2 mm deep inside');
    await focal.focus();
    await page.keyboard.press('Control+z');
    await answerWith(page, '101.2 mm deep inside');
    await page.getByRole('button', { name: 'Redo focal length' }).click();
    await answerWith(page, '85.2 mm deep inside');
    await page.getByRole('button', { name: 'Undo focal length' }).click();
    await answerWith(page, '101.2 mm deep inside');

    await plane.focus();
    await page.keyboard.press('ArrowUp');
    expect(await focal.inputValue()).toBe('106.5 mm');
    await page.getByRole('slider', { name: /^Foot of the hole/ }).focus();
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowLeft');
    expect(await field(page, 'Rise').inputValue()).toBe('1 mm');
    expect(await field(page, 'Shift').inputValue()).toBe('-0.5 mm');
    await page.getByText('bottom right', { exact: true }).waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('by keyboard alone', () => {
  it('a camera can be described without a pointer', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await newCamera(page);
    await page.keyboard.press('Tab');
    await page.getByRole('combobox', { name: 'Format' }).focus();
    await page.keyboard.type('6×9');
    await page.keyboard.press('Tab');
    await page.keyboard.type('84');
    await page.keyboard.press('Tab');
    await page.keyboard.type('56');
    await page.keyboard.press('Tab'); // width and height of the sheet as cut
    await page.keyboard.press('Tab');
    await page.keyboard.press('Tab'); // turn the frame
    await page.keyboard.press('Tab');
    await page.keyboard.type('50');
    await answerWith(page, 'Sees 91° on the diagonal');
    const criterion = page.getByRole('radio', { name: /^finest detail at 10 %/ });
    await criterion.focus();
    await page.keyboard.press('ArrowDown');
    expect(await page.getByRole('radio', { name: /half-wave/ }).isChecked()).toBe(true);
    const outline = await page.evaluate(() => {
      const row = document.activeElement?.closest('label');
      return row === null || row === undefined ? '' : getComputedStyle(row).outlineStyle;
    });
    expect(outline).toBe('solid');
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('readable everywhere', () => {
  it('has no accessibility fault, no small text and no sideways scroll at any size, and loses nothing at 200 % zoom', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await builtCamera(page);
    await expectReadable(page, { also: async (widthPx) => expect(await smallTexts(page), `${widthPx} px`).toEqual([]) });
    await field(page, 'One wavelength instead').scrollIntoViewIfNeeded();
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('says from where each drawing is seen, mirrored for the left hand too', async () => {
    const { page, context } = await stage.visit('camera');
    await builtCamera(page);
    await page.getByText('section, seen from the right').waitFor();
    await page.getByText('frame, seen from the film side', { exact: true }).waitFor();
    await page.getByRole('radio', { name: 'level' }).check();
    await page.getByText('section, seen from above').waitFor();
    await page.getByRole('radio', { name: 'upright' }).check();
    await page.getByRole('button', { name: /^Workshop/ }).click();
    await page.getByRole('checkbox', { name: 'Mirrored for the left hand' }).check();
    await page.getByText('section, seen from the left').waitFor();
    await page.reload();
    await page.getByText('section, seen from the left').waitFor();
    await context.close();
  });
});

/** Every piece of text that is seen and smaller than 16 px. */
async function smallTexts(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const parent = node.parentElement;
      const text = node.textContent?.trim() ?? '';
      if (parent !== null && text !== '' && parent.checkVisibility() && !['TITLE', 'OPTION'].includes(parent.tagName.toUpperCase())) {
        const size = Number.parseFloat(getComputedStyle(parent).fontSize);
        if (size < 16) {
          found.push(`${size}px “${text}”`);
        }
      }
    }
    return found;
  });
}
