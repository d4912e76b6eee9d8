/** A maker whose front plate was glued 0.8 mm off: the page says who bites where, and the drill that cures it. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Stage, answerWith, expectNoFaults, expectNothingSideways, newCamera, sizes } from './stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await Stage.raise();
});
afterAll(async () => {
  await stage.strike();
});

/** The pear of the demo, on the Front page. */
async function pear(page: Page): Promise<void> {
  await page.getByRole('button', { name: /^Camera on the bench/ }).click();
  await page.getByRole('region', { name: 'Camera on the bench' }).getByRole('button', { name: /Pear/ }).first().click();
  await page.keyboard.press('Escape');
}

const layer = (page: Page, name: string) => page.locator('details.layer', { hasText: name });

describe('a front plate glued off the axis', () => {
  it('is found, measured, cured by the next drill, and brought back', async () => {
    const { page, context, complaints } = await stage.visit('front', { demo: [] });
    await pear(page);
    // by hand: |59 · 8/60 + 0.8, 28 · 8/60| + half the bundle of rays − 8 mm = 1.6 mm
    await answerWith(page, /Front plate stands 1\.6\d mm in the view/);
    await page.getByText(/1\.6\d mm in the view/).first().waitFor();
    await page.getByText('black', { exact: true }).first().waitFor();
    await layer(page, 'front plate').locator('summary').click();
    await layer(page, 'front plate').getByRole('button', { name: 'Take it' }).click();
    await answerWith(page, /Nothing stands in the view/);
    expect(await layer(page, 'front plate').getByRole('textbox', { name: 'Diameter' }).inputValue()).toBe('20 mm');
    await page.keyboard.press('Control+z');
    await answerWith(page, /Front plate stands/);

    // the hand on the drawing: the edge of the opening by keys, half a millimetre a step
    const edge = page.getByRole('slider', { name: 'front plate: size of the opening' });
    await edge.focus();
    for (let i = 0; i < 8; i++) await page.keyboard.press('ArrowUp');
    await answerWith(page, /Nothing stands in the view/);
    // and by mouse, back into the light
    const box = await edge.locator('.grip-mark').boundingBox();
    if (box === null) throw new Error('the handle is not drawn');
    await page.mouse.move(box.x + 8, box.y + 8);
    await page.mouse.down();
    await page.mouse.move(box.x + 8, box.y + 60, { steps: 4 });
    await page.mouse.up();
    await answerWith(page, /stands \d/);

    // typed in inches, kept as typed
    await layer(page, 'front plate').getByRole('textbox', { name: 'Diameter' }).fill('13/16 in');
    await answerWith(page, /Nothing stands in the view/);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('what if the hole sat where the plate’s opening is; sections and sides switch; the file is saved', async () => {
    const { page, context, complaints } = await stage.visit('front', { demo: [] });
    await pear(page);
    await answerWith(page, /Front plate stands/);
    await page.getByRole('textbox', { name: 'the hole sat this far to the right' }).fill('0.8');
    await answerWith(page, /What if: /);
    await page.getByText(/^Then:/).waitFor();
    await page.getByRole('button', { name: 'Forget it' }).click();
    await page.getByText(/^Then:/).waitFor({ state: 'detached' });
    expect(await answerWith(page, /Front plate stands/)).not.toContain('What if');
    for (const [word, said] of [['upright', 'section, seen from the right'], ['level', 'section, seen from above']] as const) {
      await page.getByRole('radio', { name: word }).check();
      await page.getByText(said, { exact: true }).waitFor();
    }
    await page.getByRole('checkbox', { name: 'seen from the front' }).check();
    await page.getByText('frame seen from the front').waitFor();
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save the map as flat field' }).click();
    expect((await saved).suggestedFilename()).toBe('front-pear-6-12.tif');
    await page.getByText('Tolerances: what the real parts may do').click();
    await page.getByText('worst case, all at once').waitFor();
    await page.getByText('Gauge of the clear view').click();
    await page.getByText('diagonal, or a turned cone').waitFor();
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('a front from nothing', () => {
  it('asks for the camera first, then takes a layer and says what it still needs; fits every screen', async () => {
    const { page, context, complaints } = await stage.visit('camera');
    await newCamera(page);
    await page.getByRole('link', { name: 'Front' }).click();
    await answerWith(page, 'First the film');
    await page.getByRole('link', { name: 'Go to the camera' }).click();
    await page.getByRole('textbox', { name: 'Image area, width' }).fill('120');
    await page.getByRole('textbox', { name: 'Image area, height' }).fill('95');
    await page.getByRole('textbox', { name: 'Hole to film' }).fill('75');
    await page.getByRole('link', { name: 'Front' }).click();
    await answerWith(page, 'no layer is given yet');
    await page.getByRole('button', { name: 'Add it' }).click();
    await layer(page, 'front plate').locator('summary').click();
    await layer(page, 'front plate').getByText('still needs the diameter').waitFor();
    await layer(page, 'front plate').getByRole('textbox', { name: 'Diameter' }).fill('8');
    // z 4 mm: 2 (4 · 76.5/75 + (d/2)(1 + 4/75)), d about 0.39 without a plate
    await answerWith(page, /Make it Ø 8\.5\d mm, so 9 mm/);
    // a polygon typed in inches, its first corner dragged out by keys, the whole moved
    await layer(page, 'front plate').getByRole('combobox', { name: 'Opening' }).selectOption('polygon');
    await layer(page, 'front plate').getByRole('textbox', { name: /^Corners/ }).fill('-1/4 in,-1/4 in; 1/4 in,-1/4 in; 1/4 in,1/4 in; -1/4 in,1/4 in');
    await answerWith(page, /Nothing stands in the view/);
    await page.getByRole('slider', { name: 'front plate: corner 3' }).press('PageDown');
    await answerWith(page, /stands \d/);
    await page.keyboard.press('PageUp');
    await answerWith(page, /Nothing stands in the view/);
    await page.getByRole('slider', { name: 'front plate: opening, place' }).press('Shift+ArrowRight');
    expect(await layer(page, 'front plate').getByRole('textbox', { name: 'Off the axis, to the right' }).inputValue()).toBe('5 mm');
    await page.getByRole('button', { name: 'Move the hole 1 mm left' }).click();
    await page.getByText(/^Then:/).waitFor();
    // each cause on its own
    await page.getByRole('radio', { name: 'thick plate' }).check();
    await page.getByText('stops lost to the plate’s thickness', { exact: true }).waitFor();
    await page.getByText('Several holes in one board').click();
    await page.getByRole('textbox', { name: 'Places of the holes' }).fill('-60,0; 60,0; 0,4 in');
    await page.getByText('images of 2 and 3').waitFor();
    await page.getByText('Seat of the plate').click();
    await page.getByRole('textbox', { name: 'Land all round' }).fill('1/4 in');
    await page.getByText('Aiming: view lines, pins, wire frame').click();
    await page.getByText('pin over the hole').waitFor();
    await expectNoFaults(page, { themes: ['paper', 'night', 'darkroom'] });
    for (const size of sizes) {
      await page.setViewportSize(size);
      await expectNothingSideways(page);
    }
    // what was decided about the parts is kept as it was typed
    await page.getByText('Saved on this device').first().waitFor({ state: 'attached' });
    await page.reload();
    await page.getByText('Several holes in one board').click();
    await page.getByText('images of 2 and 3').waitFor();
    await page.getByText('Seat of the plate').click();
    expect(await page.getByRole('textbox', { name: 'Land all round' }).inputValue()).toBe('1/4 in');
    expect(complaints).toEqual([]);
    await context.close();
  });
});
